import { JSDOM } from 'jsdom';
import { describe, expect, it } from 'vitest';
import { UNCALIBRATED_SCANNER } from '../../src/contacts/settings.ts';
import { CAUTIONS } from '../../src/report/cautions.ts';
import { type ReportInput, writeReportHtml } from '../../src/report/report-html.ts';
import { makeAnalysis, makeSection, threeSpaces } from '../helpers/make-analysis.ts';
import { makePlan } from '../helpers/make-plan.ts';

function input(changes: Partial<ReportInput> = {}): ReportInput {
  const analysis = changes.analysis ?? threeSpaces();
  return {
    analysis,
    plan: makePlan(analysis),
    sections: analysis.contacts.flatMap((contact) =>
      contact.gap ? [makeSection(contact, contact.gap.valueMm)] : [],
    ),
    numbering: 'iso',
    version: '0.1.0',
    createdAt: '2026-11-25T13:40:00.000Z',
    ...changes,
  };
}

const page = (html: string) => new JSDOM(html).window.document;

describe('writeReportHtml', () => {
  const html = writeReportHtml(input());
  const document = page(html);
  const text = document.body.textContent ?? '';

  it('holds answer, facts, contacts, sections, closure, note, cautions, method and hash', () => {
    expect(document.querySelector('h1')?.textContent).toBe(
      '3 of 13 contacts are open: 13-12, 11-21 and 23-24.',
    );
    expect([...document.querySelectorAll('h2')].map((head) => head.textContent)).toEqual([
      'Contacts',
      'Sections',
      'Closure',
      'Note to go with the order',
      'Sizes and indices',
      'Cautions',
    ]);
    expect(document.querySelectorAll('.contacts tbody tr')).toHaveLength(13);
    expect(document.querySelectorAll('figure.cut')).toHaveLength(4);
    expect(document.querySelectorAll('svg.am, svg.cp')).toHaveLength(3);
    // On paper the numbers of the arch do not part from the line that says what they are.
    expect(document.querySelector('.effects')?.closest('.keep')?.querySelector('.remark')?.textContent).toBe(
      'What the stages do to the arch, mm',
    );
    for (const caution of CAUTIONS) expect(text).toContain(caution);
    expect(text).toContain('Archgap 0.1.0');
    expect(text).toContain('2026-11-25, 13:40 UTC');
    expect(text).toContain(threeSpaces().sources[0]!.sha256);
  });

  it('prints whose record it is and what floss said, escaped, and nothing of either where none was said', () => {
    const said = page(
      writeReportHtml(
        input({
          heading: { patient: '<b>No. 12</b>', practice: '' },
          floss: [{ toothA: 17, toothB: 16, finding: 'open', spaceMm: 0.1, foundOn: '2026-11-20' }],
        }),
      ),
    );
    expect(said.querySelector('.whose')?.textContent).toBe('patient <b>No. 12</b>');
    expect(said.querySelector('.contacts tbody tr td:last-child')?.textContent).toBe(
      'passes, strip 0.10 mm, 2026-11-20',
    );
    expect(document.querySelector('.whose')).toBeNull();
    expect(document.querySelector('.contacts tbody tr td:last-child')?.textContent).toBe('');
  });

  it('runs no scripts and loads nothing from anywhere', () => {
    expect(document.querySelectorAll('script, link, img, iframe, object, embed, form')).toHaveLength(0);
    expect(html).not.toMatch(/https?:|\bon[a-z]+=|javascript:|@import|url\((?!#)/i);
    expect(document.querySelector('meta[http-equiv]')?.getAttribute('content')).toContain(
      "default-src 'none'",
    );
  });

  it('escapes whatever a file, a case or a sentence is called', () => {
    const evil = '"><script>alert(1)</script><img src=x onerror=alert(1)>';
    const analysis = {
      ...makeAnalysis({ fileName: evil }),
      warnings: [{ code: 'X', sentence: evil }],
    };
    const plan = makePlan(analysis, {
      reasons: [{ code: 'X', sentence: evil }],
      commonPractice: { from: null, to: null, agrees: null, sentence: evil },
    });
    const nasty = page(
      writeReportHtml(input({ analysis, plan, caseLabel: evil, version: evil, createdAt: evil })),
    );
    expect(nasty.querySelectorAll('script, img')).toHaveLength(0);
    expect(nasty.body.textContent).toContain(evil);
    expect(nasty.title).toContain(evil);
    expect(nasty.querySelectorAll('style')).toHaveLength(1);
    expect(nasty.querySelector('style')?.textContent).not.toMatch(/alert\(|[<>]script/);
  });

  it('marks what the stages open, the proposed span, and what lies inside a span', () => {
    const rows = [...document.querySelectorAll('.spans tbody tr')];
    const row = (name: string) => rows.find((entry) => entry.firstElementChild?.textContent === name)!;
    expect([...row('16 to 26').querySelectorAll('.opened')].map((cell) => cell.textContent)).toEqual([
      '▲+0.15',
      '▲+0.15',
    ]);
    expect(row('17 to 27').className).toBe('chosen');
    expect(row('13 to 23').querySelectorAll('.in')).toHaveLength(5);
  });

  it('never prints a number for the space of a bridged contact', () => {
    const row = [...document.querySelectorAll('.contacts tbody tr')].find(
      (entry) => entry.firstElementChild?.textContent === '17-16',
    )!;
    const cells = [...row.children].map((cell) => cell.textContent);
    expect(cells.slice(0, 5)).toEqual(['17-16', 'bridged', '–', '–', '0.24']);
  });

  it('writes tooth numbers in the chosen scheme everywhere', () => {
    const palmer = page(writeReportHtml(input({ numbering: 'palmer' })));
    expect(palmer.querySelector('h1')?.textContent).toContain('UR3-UR2');
    expect(palmer.querySelector('.contacts tbody td')?.textContent).toBe('UR7-UR6');
    expect(palmer.querySelector('svg.cp .cp-tooth-label')?.textContent).toBe('UR7');
    expect(palmer.querySelector('.spans tr.chosen td')?.textContent).toBe('UR7 to UL7');
  });

  it('names the scan as its case does, in its head and in the note', () => {
    const named = page(writeReportHtml(input({ scanName: 'a.ply of 2026-01-05' })));
    expect(named.title).toBe('a.ply of 2026-01-05: contact record');
    expect(named.querySelector('.letter')?.textContent).toContain('scan a.ply of 2026-01-05\n');
  });

  it('stands without a plan, and says why there is none', () => {
    const bare = page(writeReportHtml(input({ plan: null, planRefusal: 'The arch has one tooth.' })));
    expect(bare.body.textContent).toContain('No closure plan: The arch has one tooth.');
    expect(bare.querySelector('.letter')).toBeNull();
  });

  it('is the same for the same input', () => {
    expect(writeReportHtml(input())).toBe(html);
  });

  it('prints without fixing the paper size, so that A4 and Letter both fit', () => {
    const style = document.querySelector('style')?.textContent ?? '';
    expect(style).toMatch(/@page\{margin:/);
    expect(style).not.toMatch(/size:\s*(a4|letter)/i);
  });

  it('says of the scanner from where on it bridges nothing, or that this is not known', () => {
    const told = (noBridgeGapMm: number): string => {
      const analysis = threeSpaces();
      const scanner = { ...UNCALIBRATED_SCANNER, name: 'bench', noBridgeGapMm };
      return writeReportHtml(
        input({ analysis: { ...analysis, settings: { ...analysis.settings, scanner } } }),
      );
    };
    expect(told(0.3)).toContain('bridges nothing from 0.30 mm.');
    expect(told(5)).toContain('what it never bridges is not known.');
  });
});
