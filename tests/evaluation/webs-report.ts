import type { JudgedContact } from './judge-spaces.ts';
import { mean, rootMeanSquare, worst } from './statistics.ts';
import { columns, fixed, textTable } from './text-table.ts';
import { type TrueWebs, trueWebSize, type WebSize } from './true-webs.ts';

/** The web of a contact beside the true one, mm. */
export interface JudgedWeb {
  readonly place: string;
  readonly pair: string;
  readonly truth: WebSize;
  /** Null where the contact has no web. */
  readonly found: WebSize | null;
}

/** Every contact that truly has a web. */
export function judgeWebs(judged: readonly JudgedContact[], webs: TrueWebs): JudgedWeb[] {
  return judged.flatMap(({ place, contact }) => {
    const truth = trueWebSize(webs, contact);
    if (truth === null) return [];
    const { bridgeHeightMm: heightMm, bridgeWidthMm: widthMm } = contact;
    const found = heightMm === null || widthMm === null ? null : { heightMm, widthMm };
    return [{ place, pair: `${contact.toothA}-${contact.toothB}`, truth, found }];
  });
}

/** A row per place and a last one for all webs together: errors of height and width, found minus true, mm. */
export function websTable(judged: readonly JudgedWeb[]): string {
  const header = columns(
    '<arch',
    'webs',
    'found',
    'height bias mm',
    'rms',
    'worst',
    '<at',
    'width bias mm',
    'rms',
    'worst',
    '<at',
  );
  const places = [...new Set(judged.map(({ place }) => place))];
  return textTable(header, [
    ...places.map((place) =>
      websRow(
        place,
        judged.filter((one) => one.place === place),
      ),
    ),
    websRow('all', judged),
  ]);
}

function websRow(name: string, judged: readonly JudgedWeb[]): (string | null)[] {
  const both = judged.flatMap(({ pair, truth, found }) => (found === null ? [] : [{ pair, truth, found }]));
  const sized = (axis: keyof WebSize): (string | null)[] => {
    const errors = both.map(({ truth, found }) => found[axis] - truth[axis]);
    const most = worst(errors);
    const at = most === null ? undefined : both[errors.indexOf(most)];
    return [fixed(mean(errors), 2), fixed(rootMeanSquare(errors), 2), fixed(most, 2), at?.pair ?? null];
  };
  return [name, String(judged.length), String(both.length), ...sized('heightMm'), ...sized('widthMm')];
}
