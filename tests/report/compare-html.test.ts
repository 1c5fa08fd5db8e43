import { JSDOM } from 'jsdom';
import { describe, expect, it } from 'vitest';
import { compareContacts } from '../../src/contacts/compare-contacts.ts';
import {
  alignmentSentence,
  type CompareReportInput,
  writeCompareHtml,
} from '../../src/report/compare-html.ts';
import { makeAnalysis, makeSection } from '../helpers/make-analysis.ts';
import { EARLIER, FOLLOW_UP } from '../helpers/make-changes.ts';

const INPUT: CompareReportInput = {
  earlier: EARLIER,
  followUp: FOLLOW_UP,
  plan: {
    planned: [],
    span: { from: 12, to: 21, stages: 2 },
  } as unknown as CompareReportInput['plan'],
  sections: FOLLOW_UP.analysis.contacts.map((contact) => makeSection(contact, contact.gap!.valueMm)),
  numbering: 'iso',
  version: '1.2.3',
  createdAt: '2026-01-02T03:04:05Z',
};
const page = (input: CompareReportInput) => new JSDOM(writeCompareHtml(input)).window.document;
const cells = (row: Element) => [...row.children].map((cell) => cell.textContent);

describe('writeCompareHtml', () => {
  const document = page(INPUT);
  const rows = [...document.querySelectorAll('.changes tbody tr')];

  it('has a row per contact: what became of it, both spaces, the change, the crowns, the plan', () => {
    expect(rows.map((row) => row.firstElementChild!.textContent)).toEqual(['12-11', '11-21', '21-22']);
    const [pair, became, before, now, change, approach, planned, seen] = cells(rows[0]!);
    expect([pair, before, now, change, approach]).toEqual([
      '12-11',
      'open0.40 ± 0.03',
      'open0.15 ± 0.03',
      '−0.25 ± 0.04',
      '−0.24 ± 0.02',
    ]);
    expect(became).toMatch(/^partly closed/);
    // What stands behind it is set apart.
    expect(rows[0]!.querySelector('.became b')!.textContent).toBe('partly closed');
    expect([planned, seen]).toEqual(['0.10', '83 ± 14 %']);
  });

  it('never gives a number for a space that a web hid', () => {
    expect(cells(rows[1]!).slice(2, 5)).toEqual(['bridgedup to 0.25', 'open0.31 ± 0.04', '+0.02 to +0.35']);
    expect(cells(rows[2]!)[2]).toBe('no such pair');
  });

  it('tells how well the scans lie over each other, the crowns that moved, and those that changed shape', () => {
    expect(document.body.textContent).toContain(
      '3 of 4 teeth recognised by shape; each crown lies on the new scan within 12 µm in the median.',
    );
    expect(alignmentSentence({ alignment: null })).toMatch(/could not be laid over/);
    const motions = [...document.querySelectorAll('section')].find(
      (section) => section.querySelector('h2')?.textContent === 'Teeth that moved',
    )!;
    const told = [...motions.querySelectorAll('tbody tr')].map(cells);
    expect(told[2]).toEqual(['11', 'another shape than before']);
    expect(told[3]!.slice(0, 2)).toEqual(['21', '+0.20']);
  });

  it('calls no tooth missing that was only not clicked', () => {
    const site = makeAnalysis({
      missing: [25],
      contacts: { '24-26': { status: 'missing-tooth', notes: ['not-clicked'] } },
    });
    const changes = compareContacts(site, makeAnalysis({ missing: [25] }), [], null, true);
    const compared = page({ ...INPUT, followUp: { ...FOLLOW_UP, changes } });
    const row = [...compared.querySelectorAll('.changes tbody tr')].find(
      (one) => one.firstElementChild!.textContent === '24-26',
    )!;
    expect(cells(row).slice(2, 4)).toEqual(['not clicked', 'missing tooth']);
  });

  it('has no columns of a plan where there is none, and names none', () => {
    const bare = page({ ...INPUT, plan: null });
    expect(cells(bare.querySelector('.changes tbody tr')!)).toHaveLength(6);
    expect(bare.querySelector('.second')).toBeNull();
    expect(document.querySelector('.second')?.textContent).toContain('12-21, 2 stages');
  });

  it('tells two scans of one file name apart, at its head and where their fingerprints stand', () => {
    const alike = structuredClone(INPUT.earlier);
    for (const one of [alike, INPUT.followUp.analysis]) expect(one.sources).toHaveLength(1);
    (alike.sources[0] as { fileName: string }).fileName = INPUT.followUp.analysis.sources[0]!.fileName;
    const told = page({ ...INPUT, earlier: alike });
    expect(told.title).toBe('<later>.ply (earlier scan) to <later>.ply (new scan): comparison of two scans');
    expect(told.querySelector('.foot')!.textContent).toMatch(
      /<later>\.ply \(earlier scan\): SHA-256 \w+\. <later>\.ply \(new scan\): SHA-256 \w+\./,
    );
    const named = page({ ...INPUT, names: ['a.ply of 2026-01-05', 'a.ply of 2026-03-01'] });
    expect(named.querySelector('header')!.textContent).toContain(
      'a.ply of 2026-01-05 to a.ply of 2026-03-01',
    );
  });

  it('escapes what files and warnings say, runs no script and loads nothing', () => {
    expect(document.body.textContent).toContain('<later>.ply');
    expect(document.body.textContent).toContain('The crown of 11 <has> another shape.');
    expect(document.querySelectorAll('script, link, img, iframe, later, has')).toHaveLength(0);
    expect(writeCompareHtml(INPUT)).not.toMatch(/NaN|undefined|\[object|https?:/);
  });
});
