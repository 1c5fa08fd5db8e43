import {
  boundFails,
  gapError,
  type JudgedContact,
  LIMITS_MM,
  type SpacesFigures,
  spacesFigures,
  wrongDecisions,
} from './judge-spaces.ts';
import { seenAt } from './space-change.ts';
import { columns, micrometres, percent, textTable } from './text-table.ts';

/** A row per place (arch and clicks) and a last one for all contacts together. */
export function spacesTable(judged: readonly JudgedContact[]): string {
  const header = columns(
    '<arch',
    'free',
    'measured',
    'bias um',
    'rms',
    'worst',
    'U',
    'within U',
    ...LIMITS_MM.map((limit) => `wrong at ${limit}`),
    'undecided',
    'hidden',
    'bridged',
    'open bridged',
    'bounds',
    'hold',
    'clearance',
    'bias um',
    'rms',
    'worst',
  );
  const places = [...new Set(judged.map(({ place }) => place))];
  return textTable(header, [
    ...places.map((place) => spacesRow(place, spacesFigures(judged.filter((one) => one.place === place)))),
    spacesRow('all', spacesFigures(judged)),
  ]);
}

function spacesRow(place: string, f: SpacesFigures): (string | null)[] {
  return [
    place,
    String(f.free),
    String(f.measured),
    micrometres(f.biasMm),
    micrometres(f.rmsMm),
    micrometres(f.worstMm),
    micrometres(f.medianUMm),
    percent(f.covered),
    ...LIMITS_MM.map((limit) => String(f.wrong.filter(({ limitMm }) => limitMm === limit).length)),
    f.undecided.join(' '),
    String(f.hidden),
    String(f.hiddenBridged),
    String(f.openBridged),
    String(f.bounds),
    String(f.boundsHeld),
    String(f.clearances),
    micrometres(f.clearanceBiasMm),
    micrometres(f.clearanceRmsMm),
    micrometres(f.clearanceWorstMm),
  ];
}

/** One line for every contact whose true space is known to be more than nothing, or of which something is wrong. */
export function contactTable(judged: readonly JudgedContact[]): string {
  const header = columns(
    '<arch',
    '<contact',
    '<truth',
    'true mm',
    '<said',
    'gap mm',
    'U mm',
    'error um',
    'bound mm',
    '<notes',
    '<verdict',
  );
  const shown = judged.filter((one) => one.truth.state !== 'closed' || verdictOf(one) !== '');
  return textTable(
    header,
    shown.map((one) => {
      const { contact, truth } = one;
      return [
        one.place,
        `${contact.toothA}-${contact.toothB}`,
        truth.state,
        truth.gapMm.toFixed(3),
        contact.status,
        contact.gap?.valueMm.toFixed(3) ?? null,
        contact.gap?.u95Mm.toFixed(3) ?? null,
        micrometres(gapError(one)),
        contact.upperBoundMm?.toFixed(3) ?? null,
        contact.notes.join(' '),
        verdictOf(one),
      ];
    }),
  );
}

/** What is wrong with a contact, in short; empty when nothing is. */
export function verdictOf(one: JudgedContact): string {
  const { contact, truth } = one;
  const error = gapError(one);
  const faults: string[] = [];
  if (error !== null && Math.abs(error) > contact.gap!.u95Mm) faults.push('outside U');
  if (boundFails(one)) faults.push('bound too low');
  if (truth.state === 'open' && seenAt(contact) !== 'measured') faults.push('open, no number');
  if ((truth.state === 'closed' || truth.state === 'bridged') && seenAt(contact) !== 'bridged')
    faults.push('hidden, not bridged');
  for (const { limitMm, said } of wrongDecisions(one)) faults.push(`${said} at ${limitMm}`);
  return faults.join('; ');
}
