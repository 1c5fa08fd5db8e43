import { expect, it } from 'vitest';
import { agreementHeadline, agreementParts } from '../../src/report/agreement-html.ts';
import { agreementWarnings } from '../../src/report/agreement-warnings.ts';
import { assessAgreement } from '../../src/study/assess-agreement.ts';
import { repeatedMeasurements } from '../../src/study/repeated-measurements.ts';

const GAPS = [0.12, 0.31, 0.22, 0.41];

/** Four contacts of one mouth by two operators, of two sessions where `sessions` is two. */
function study(
  column: 'scan' | 'scan_sha256',
  scanOf: (session: number) => string,
  sessions: 1 | 2,
  off = 0.01,
) {
  const rows = [];
  for (let session = 1; session <= sessions; session += 1) {
    for (const [k, operator] of ['A', 'B'].entries()) {
      for (const [i, gap] of GAPS.entries())
        rows.push(
          `m,${operator},${session},${i + 11},${scanOf(session)},${gap + off * k * (i % 2) + 0.02 * session}`,
        );
    }
  }
  const text = `id,operator,session,tooth,${column},gap_mm\n${rows.join('\n')}\n`;
  const data = repeatedMeasurements([{ name: 't.csv', text }], { value: null, target: null, by: null });
  const analyses = assessAgreement(data);
  return {
    cautions: agreementWarnings(data, analyses, []).map(({ sentence }) => sentence),
    headline: agreementHeadline(data, analyses),
    parts: agreementParts(data, analyses),
  };
}

it('two operators on one scan: the figures are said to be those of clicking, surely only by its fingerprint', () => {
  expect(study('scan_sha256', () => 'ab12', 1).cautions).toEqual([
    'Every target was measured on one scan (SHA-256): these figures say how well clicking the teeth again agrees. They say nothing of scanning again.',
  ]);
  expect(study('scan', () => 'first.ply', 1).cautions).toEqual([
    'All occasions name the same scan, first.ply. If that is one scan and not several files of one name, these figures say how well clicking the teeth again agrees. They say nothing of scanning again.',
  ]);
  expect(study('scan', () => 'first.ply', 1, 0).headline).toBe(
    'Measurements of one target are the same on all occasions to 0.001 mm.',
  );
});

it('operators and sessions: what the comparison of each covers stands beside it', () => {
  const { cautions, parts } = study('scan', (session) => `s${session}.ply`, 2);
  expect(cautions).toEqual([
    'Some occasions name the same scan. If that is one scan and not several files of one name, between these only the clicks can differ, and over all occasions errors come out smaller and correlations higher than if every occasion had been scanned anew.',
  ]);
  expect(study('scan_sha256', (session) => `ab${session}`, 2).cautions).toEqual([
    expect.stringMatching(
      /^Some occasions are of one scan \(SHA-256\): between these only the clicks can differ/,
    ),
  ]);
  const clicks = parts.filter(({ html }) => html.includes('clicks are compared here, not scanning'));
  expect(clicks.map(({ heading }) => heading)).toEqual(['By operator, session 1', 'By operator, session 2']);
});

it('says nothing of figures that there are none of', () => {
  const text = 'id,operator,tooth,scan,gap_mm\nm,A,11,a.ply,0.1\nm,B,11,a.ply,0.2\n';
  const data = repeatedMeasurements([{ name: 't.csv', text }], { value: null, target: null, by: null });
  const analyses = assessAgreement(data);
  expect([analyses[0]!.scansShared, analyses[0]!.figures]).toEqual(['all', null]);
  expect(agreementWarnings(data, analyses, [])).toEqual([]);
});

it('says nothing where every occasion has a scan of its own', () => {
  const rows = GAPS.flatMap((gap, i) => [`m,A,${i},a.ply,${gap}`, `m,B,${i},b.ply,${gap + 0.01 * (i % 2)}`]);
  const text = `id,operator,tooth,scan,gap_mm\n${rows.join('\n')}\n`;
  const data = repeatedMeasurements([{ name: 't.csv', text }], { value: null, target: null, by: null });
  expect(agreementWarnings(data, assessAgreement(data), [])).toEqual([]);
});
