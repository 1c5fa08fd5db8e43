import { describe, expect, it } from 'vitest';
import {
  agreementHeadline,
  agreementParts,
  countSentences,
  writeAgreementHtml,
} from '../../src/report/agreement-html.ts';
import { assessAgreement } from '../../src/study/assess-agreement.ts';
import { repeatedMeasurements } from '../../src/study/repeated-measurements.ts';

const OPTIONS = { value: null, target: null, by: null };
function dataOf(second: readonly (number | null)[]) {
  const first = [0.1, 0.3, 0.7, 1.1];
  const rows = (values: readonly (number | null)[], who: string) =>
    values.map((gap, k) => `<b>${k},${who},${gap ?? ''},${gap === null ? 'bridged' : 'open'}`);
  const text = ['id,operator,gap_mm,status', ...rows(first, 'A&B'), ...rows(second, 'C')].join('\n');
  return repeatedMeasurements([{ name: 't.csv', text }], OPTIONS);
}
const about = { version: '1', sources: [{ fileName: '<t>.csv', name: '<t>.csv', sha256: 'ab' }] };

describe('the record of a study', () => {
  it('escapes every text of a table, also in the parts for the page', () => {
    const data = dataOf([0.12, 0.31, 0.68, 1.15]);
    const analyses = assessAgreement(data);
    const html = writeAgreementHtml(data, analyses, about);
    const parts = agreementParts(data, analyses)
      .map((part) => part.html)
      .join('');
    for (const text of [html, parts]) {
      expect(text).not.toMatch(/<b>\d|A&B/);
      expect(text).toContain('A&amp;B');
      expect(text).not.toContain('NaN');
    }
    expect(html).toContain('&lt;t&gt;.csv');
    expect(parts).toContain('ICC(2,1)');
    // No style attributes: the page's policy refuses them.
    expect(parts).not.toMatch(/ style=/);
  });

  it('says why a correlation has no interval, and what was left out', () => {
    const equal = dataOf([0.1, 0.3, 0.7, 1.1]);
    const parts = agreementParts(equal, assessAgreement(equal));
    expect(parts[0]!.html).toContain('none: no scatter is left to judge by');
    const left = dataOf([0.12, 0.31, 0.68, null]);
    const sentences = countSentences(left, assessAgreement(left)[0]);
    expect(sentences.join(' ')).toContain('1 is left out, nothing is filled in: bridged once.');
  });

  it('a table without any scatter is no repeatability of 0.000 mm', () => {
    const equal = dataOf([0.1, 0.3, 0.7, 1.1]);
    expect(agreementHeadline(equal, assessAgreement(equal))).toBe(
      'Measurements of one target are the same on all occasions to 0.001 mm. That is no repeatability of scanning where the occasions share a scan: what did not vary cannot differ.',
    );
    const scattered = dataOf([0.12, 0.31, 0.68, 1.15]);
    expect(agreementHeadline(scattered, assessAgreement(scattered))).toMatch(
      /^Two measurements of one target differ by less than 0\.0\d+ mm in 95 of 100 cases /,
    );
  });
});
