import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import Ajv2020 from 'ajv/dist/2020.js';
import { JSDOM } from 'jsdom';
import Papa from 'papaparse';
import { describe, expect, it } from 'vitest';
import { runCli } from '../../src/cli/run-cli.ts';
import { type MemoryWorld, makeMemoryWorld } from '../helpers/memory-io.ts';
import { LARGE_FIRST, MINI_FIRST, SHROUT_FLEISS } from '../study/worked-examples.ts';

const METERS = `id,scanner,value\n${LARGE_FIRST.map((a, i) => `s${i},large,${a}\ns${i},mini,${MINI_FIRST[i]}\n`).join('')}`;
/** One table per judge, without a column that says so. */
const judge = (j: number) => `id,value\n${SHROUT_FLEISS.map((row, i) => `t${i},${row[j]}\n`).join('')}`;

const text = (w: MemoryWorld, path: string) => new TextDecoder().decode(w.files.get(`/here/${path}`));

async function run(files: Record<string, string>, ...argv: string[]) {
  const w = makeMemoryWorld(files);
  const status = await runCli(['agreement', ...argv, '--out', 'o'], w.io);
  return { w, status };
}

function figures(w: MemoryWorld): Record<string, string>[] {
  return Papa.parse<Record<string, string>>(text(w, 'o/agreement.csv').trimEnd(), { header: true }).data;
}

describe('archgap agreement', () => {
  it('gives the published figures of Shrout and Fleiss from one table per judge', async () => {
    const files = Object.fromEntries([0, 1, 2, 3].map((j) => [`judge-${j}.csv`, judge(j)]));
    const { w, status } = await run(files, ...Object.keys(files));
    expect([status, w.stderr()]).toEqual([0, '']);
    const icc = figures(w).filter(({ statistic }) => statistic!.startsWith('icc'));
    expect(icc.map(({ statistic, value }) => [statistic, Number(value).toFixed(2)])).toEqual([
      ['icc(1,1)', '0.17'],
      ['icc(2,1)', '0.29'],
      ['icc(3,1)', '0.71'],
      ['icc(1,k)', '0.44'],
      ['icc(2,k)', '0.62'],
      ['icc(3,k)', '0.91'],
    ]);
  });

  it('gives the published limits of the two flow meters', async () => {
    const { w } = await run({ 'm.csv': METERS }, 'm.csv');
    const by = (name: string) => figures(w).find(({ statistic }) => statistic === name)!;
    expect([by('bias').first, by('bias').second, by('bias').value]).toEqual(['large', 'mini', '-2.1176']);
    expect([by('lower_limit').value, by('upper_limit').value]).toEqual(['-78.0973', '73.862']);
  });

  it('writes what the schema says, and pictures that are whole', async () => {
    const { w } = await run({ 'm.csv': METERS }, 'm.csv');
    const schema = JSON.parse(
      readFileSync(new URL('../../docs/schemas/archgap-agreement-1.json', import.meta.url), 'utf8'),
    );
    const validate = new Ajv2020({ allErrors: true, strict: true, allowUnionTypes: true }).compile(schema);
    const document = JSON.parse(text(w, 'o/agreement.json'));
    expect([validate(document), validate.errors]).toEqual([true, null]);
    const { w: twice } = await run({ 'a.csv': judge(0), 'b.csv': judge(0) }, 'a.csv', 'b.csv');
    const warned = JSON.parse(text(twice, 'o/agreement.json'));
    expect([warned.warnings.length, validate(warned), validate.errors]).toEqual([1, true, null]);
    const plots = [...w.files.keys()].filter((path) => path.endsWith('.svg')).map((path) => path.slice(14));
    expect(plots.sort()).toEqual([
      '01-all-dahlberg.svg',
      '01-all-icc.svg',
      '01-all-limits-1-2.svg',
      '01-all-repeatability.svg',
    ]);
    for (const plot of plots) {
      const svg = text(w, `o/plots/${plot}`);
      const { document: page } = new JSDOM(svg, { contentType: 'image/svg+xml' }).window;
      expect(page.documentElement.localName).toBe('svg');
      expect(svg).not.toMatch(/NaN|Infinity|undefined/);
      const dots = page.querySelectorAll('circle').length;
      expect([plot, dots]).toEqual([plot, plot.includes('icc') ? 6 : plot.includes('dahlberg') ? 34 : 17]);
    }
  });

  it('tells a program, too, that occasions share a scan and that tables are alike', async () => {
    const table = (scanOf: (operator: string) => string) =>
      `id,operator,tooth,scan,gap_mm\n${[0.1, 0.3, 0.2]
        .flatMap((gap, i) =>
          ['A', 'B'].map(
            (operator, k) => `m,${operator},${i + 11},${scanOf(operator)},${gap + 0.01 * k * i}\n`,
          ),
        )
        .join('')}`;
    const said = async (files: Record<string, string>) => {
      const { w } = await run(files, ...Object.keys(files));
      const { analyses, scan_column, warnings } = JSON.parse(text(w, 'o/agreement.json'));
      for (const { code, sentence } of warnings) expect(w.stdout()).toContain(`Note ${code}: ${sentence}\n`);
      return [
        scan_column,
        analyses.map(({ scans_shared }: { scans_shared: string }) => scans_shared),
        warnings.map(({ code }: { code: string }) => code),
      ];
    };
    expect(await said({ 't.csv': table(() => 'a.ply') })).toEqual(['scan', ['all'], ['SCANS_SHARED']]);
    expect(await said({ 't.csv': table((operator) => `${operator}.ply`) })).toEqual(['scan', ['none'], []]);
    expect(await said({ 'a.csv': judge(0), 'b.csv': judge(0) })).toEqual([null, [null], ['TABLES_ALIKE']]);
  });

  it('says of bridged contacts that they were left out, and why', async () => {
    const lines = ['id,operator,tooth_a,tooth_b,status,gap_mm'];
    for (let i = 0; i < 6; i += 1)
      for (const [k, operator] of ['A', 'B'].entries())
        lines.push(
          `m${i},${operator},11,21,${i > 3 && k === 1 ? 'bridged,' : `open,${0.2 + i / 10 + k / 50}`}`,
        );
    const { w, status } = await run({ 't.csv': `${lines.join('\n')}\n` }, 't.csv');
    expect(status).toBe(0);
    expect(w.stdout()).toContain('4 targets have a number on every occasion.');
    expect(w.stdout()).toContain('2 are left out, nothing is filled in: bridged 2 times.');
    expect(text(w, 'o/report.html')).toContain('bridged 2 times');
  });

  it('lets no text of a table into the record as markup, nor into the CSV as a formula', async () => {
    const evil = '<img src=x onerror=alert(1)>';
    const table = (name: string) =>
      `id,operator,value\n${[1, 2, 3].map((i) => `${i},${name},${i}\n${i},B,${i + 0.1 * i}\n`).join('')}`;
    const { w } = await run({ 't.csv': table(evil) }, 't.csv');
    expect(text(w, 'o/report.html')).not.toContain('<img');
    for (const [path, bytes] of w.files)
      if (path.endsWith('.svg')) expect(new TextDecoder().decode(bytes)).not.toContain('<img');
    const { w: formula } = await run({ 't.csv': table('=1+1') }, 't.csv');
    expect(figures(formula).some(({ first }) => first === "'=1+1")).toBe(true);
  });

  it('names a table by the fingerprint of its file, as spreadsheets save it', async () => {
    const { w } = await run({ 'a.csv': `\ufeff${judge(0)}`, 'b.csv': judge(1) }, 'a.csv', 'b.csv');
    const { sources } = JSON.parse(text(w, 'o/agreement.json'));
    const file = createHash('sha256')
      .update(`\ufeff${judge(0)}`)
      .digest('hex');
    expect(sources[0]).toEqual({ file_name: 'a.csv', sha256: file });
  });

  it('refuses one file under two names, and names copies', async () => {
    const files = { 'a.csv': judge(0), 'b.csv': judge(0) };
    const twice = await run(files, 'a.csv', './a.csv');
    expect([twice.status, twice.w.stderr()]).toEqual([
      2,
      'archgap: TABLE_GIVEN_TWICE: "a.csv" and "./a.csv" are one file; give the table of every occasion once.\n',
    ]);
    const copy = await run(files, 'a.csv', 'b.csv');
    expect(copy.status).toBe(0);
    expect(copy.w.stdout()).toContain('Note TABLES_ALIKE: a.csv and b.csv are the same byte for byte.');
    expect(text(copy.w, 'o/report.html')).toContain('a.csv and b.csv are the same byte for byte.');
    const other = await run({ ...files, 'b.csv': judge(1) }, 'a.csv', 'b.csv');
    expect(other.w.stdout()).not.toContain('TABLES_ALIKE');
  });

  it('takes named columns', async () => {
    const swapped = METERS.replace('id,scanner,value', 'who,with,flow');
    const { w, status } = await run(
      { 'm.csv': swapped },
      'm.csv',
      '--value',
      'flow',
      '--target',
      'who',
      '--by',
      'with',
    );
    expect(status).toBe(0);
    expect(JSON.parse(text(w, 'o/agreement.json')).target_columns).toEqual(['who']);
  });

  it.each([
    ['too few targets', 'id,operator,value\na,A,1\na,B,2\nb,A,1\nb,B,\n', 3, 'AGREEMENT_TOO_FEW:'],
    ['no repetition', 'id,operator,value\na,A,1\nb,A,2\n', 3, 'AGREEMENT_ONE_OCCASION:'],
    ['no table', '', 3, 'TABLE_EMPTY:'],
    [
      'a scan in text',
      'solid upper\n facet normal 0 0 1\n',
      3,
      'AGREEMENT_COLUMN_MISSING: "t.csv" is a scan, where a file of text (JSON or CSV) belongs; check which file stands where.',
    ],
  ])('refuses %s and writes nothing', async (_, table, expected, code) => {
    const { w, status } = await run({ 't.csv': table }, 't.csv');
    expect(status).toBe(expected);
    expect(w.stderr()).toContain(`archgap: ${code}`);
    expect([...w.files.keys()]).toEqual(['/here/t.csv']);
  });
});
