import { zipSync } from 'fflate';
import { describe, expect, it } from 'vitest';
import { runCli } from '../../src/cli/run-cli.ts';
import { writeResultJson } from '../../src/report/write-result-json.ts';
import { threeSpaces } from '../helpers/make-analysis.ts';
import { type MemoryWorld, makeMemoryWorld } from '../helpers/memory-io.ts';
import { sphereCrownFiles } from '../helpers/sphere-crowns.ts';

const RESULT = writeResultJson(threeSpaces(), { version: '0.1.0' });
const CLICKS = JSON.stringify({ jaw: 'upper', unit: 'mm', clicks: [{ tooth: '11', point: [0, 0, 0] }] });

function world(): MemoryWorld {
  return makeMemoryWorld({
    'result.json': RESULT,
    'clicks.json': CLICKS,
    'plain.txt': 'not a scan',
    'cut.stl': new Uint8Array(100),
    'latin.json': new Uint8Array([0x7b, 0xe4, 0x7d]),
    'broken.json': '{"jaw": "upper"',
    'odd-jaw.json': JSON.stringify({ jaw: 'middle', clicks: [] }),
    ...sphereCrownFiles(1),
  });
}

describe('help', () => {
  it('names the commands that exist and no others', async () => {
    const w = world();
    expect(await runCli(['--help'], w.io)).toBe(0);
    const help = w.stdout();
    for (const command of [
      'inspect',
      'measure',
      'plan',
      'compare',
      'fit',
      'bolton',
      'calibrate',
      'batch',
      'agreement',
    ])
      expect(help).toMatch(new RegExp(`^ {2}${command}`, 'm'));
    for (const later of ['opposing']) {
      expect(help).not.toMatch(new RegExp(`\\b${later}\\b`));
    }
    expect(w.stderr()).toBe('');
  });

  it.each([
    ['inspect', ['--json', '--unit', '--json-errors']],
    [
      'measure',
      ['--clicks', '--crown', '--jaw', '--out', '--limit', '--unit', '--numbering', '--json-errors'],
    ],
    ['agreement', ['--out', '--value', '--target', '--by', '--json-errors']],
    ['batch', ['--out', '--jobs', '--part', '--merge', '--limit', '--scanner', '--json-errors']],
    [
      'plan',
      ['--out', '--limit', '--max-stages', '--per-stage', '--moved', '--reduction', '--fixed', '--opposing'],
    ],
  ])('%s says what it takes', async (command, options) => {
    const w = world();
    expect(await runCli([command, '--help'], w.io)).toBe(0);
    for (const option of options) expect(w.stdout()).toContain(option);
    expect(w.stdout()).not.toContain('--compare');
  });

  it('prints the version', async () => {
    const w = world();
    expect(await runCli(['--version'], w.io)).toBe(0);
    expect(w.stdout()).toBe('0.1.0\n');
  });
});

describe('what looks like an option or a file and is the other', () => {
  it.each([
    [
      'a file whose name begins with a dash',
      ['inspect', '-lead.ply'],
      2,
      "archgap: UNKNOWN_OPTION: Unknown option '-lead.ply'. A file whose name begins with - is named as ./-lead.ply. See archgap inspect --help.\n",
    ],
    [
      'an option in the place of the folder',
      ['plan', 'result.json', '--out', '--limit'],
      2,
      "archgap: OPTION_WITHOUT_VALUE: Option '--out <dir>' is followed by --limit where its value belongs. A file whose name begins with - is named as ./--limit. See archgap plan --help.\n",
    ],
    [
      'standard input by a dash',
      ['inspect', '-'],
      3,
      'archgap: FILE_NOT_FOUND: There is no file "-"; name a file, or /dev/stdin for what is piped in.\n',
    ],
  ])('%s is told what to do', async (_, argv, status, line) => {
    const w = world();
    const before = [...w.files.keys()];
    expect(await runCli(argv, w.io)).toBe(status);
    expect(w.stderr()).toBe(line);
    expect([...w.files.keys()]).toEqual(before);
  });
});

describe('wrong usage: status 2, one line, nothing written', () => {
  it.each([
    ['no command', [], 'NO_COMMAND'],
    ['an unknown command', ['frobnicate'], 'UNKNOWN_COMMAND'],
    ['a command of later', ['opposing', 'a.stl'], 'UNKNOWN_COMMAND'],
    ['an option of later', ['plan', 'result.json', '--out', 'o', '--compare', '11.stl'], 'UNKNOWN_OPTION'],
    [
      'a rule that there is not',
      ['plan', 'result.json', '--out', 'o', '--span-rule', 'longest'],
      'OPTION_INVALID',
    ],
    ['a unit of nothing', ['plan', 'result.json', '--out', 'o', '--unit', 'mm'], 'UNIT_WITHOUT_SCAN'],
    ['inspect without a file', ['inspect'], 'ARGUMENT_MISSING'],
    ['too many files', ['inspect', '11.stl', '12.stl'], 'ARGUMENT_TOO_MANY'],
    ['measure without a folder', ['measure', '11.stl', '--clicks', 'clicks.json'], 'OPTION_MISSING'],
    ['measure without clicks', ['measure', '11.stl', '--out', 'o'], 'NO_CLICKS_FILE'],
    ['measure without anything', ['measure', '--out', 'o'], 'NO_SCAN'],
    [
      'a scan and crowns',
      ['measure', '11.stl', '--crown', '11=11.stl', '--jaw', 'upper', '--out', 'o'],
      'SCAN_OR_CROWNS',
    ],
    [
      'crowns without a jaw',
      ['measure', '--crown', '11=11.stl', '--crown', '21=21.stl', '--out', 'o'],
      'JAW_MISSING',
    ],
    ['one crown', ['measure', '--crown', '11=11.stl', '--jaw', 'upper', '--out', 'o'], 'ONE_CROWN'],
    [
      'a jaw with a scan',
      ['measure', '11.stl', '--clicks', 'clicks.json', '--jaw', 'upper', '--out', 'o'],
      'JAW_TWICE',
    ],
    [
      'a crown of the other jaw',
      ['measure', '--crown', '11=11.stl', '--crown', '31=21.stl', '--jaw', 'upper', '--out', 'o'],
      'TOOTH_WRONG_JAW',
    ],
    [
      'a crown twice',
      ['measure', '--crown', '11=11.stl', '--crown', '11=21.stl', '--jaw', 'upper', '--out', 'o'],
      'OPTION_INVALID',
    ],
    [
      'a crown without a tooth',
      ['measure', '--crown', '11.stl', '--jaw', 'upper', '--out', 'o'],
      'OPTION_INVALID',
    ],
    [
      'a crown that is no tooth',
      ['measure', '--crown', '19=11.stl', '--jaw', 'upper', '--out', 'o'],
      'OPTION_INVALID',
    ],
    ['an unknown jaw', ['measure', '--crown', '11=11.stl', '--jaw', 'left', '--out', 'o'], 'OPTION_INVALID'],
    ['standard output for a folder', ['plan', 'result.json', '--out', '-'], 'OUT_NOT_A_FOLDER'],
    ['a limit in words', ['plan', 'result.json', '--out', 'o', '--limit', 'small'], 'OPTION_INVALID'],
    ['a limit below zero', ['plan', 'result.json', '--out', 'o', '--limit=-0.1'], 'OPTION_INVALID'],
    ['a limit in micrometres', ['plan', 'result.json', '--out', 'o', '--limit', '100'], 'OPTION_INVALID'],
    ['half a stage', ['plan', 'result.json', '--out', 'o', '--max-stages', '1.5'], 'OPTION_INVALID'],
    ['no motion per stage', ['plan', 'result.json', '--out', 'o', '--per-stage', '0'], 'OPTION_INVALID'],
    ['an unknown scheme', ['plan', 'result.json', '--out', 'o', '--numbering', 'roman'], 'OPTION_INVALID'],
    ['an unknown unit', ['inspect', '11.stl', '--unit', 'ft'], 'OPTION_INVALID'],
    ['no turn per stage', ['plan', 'result.json', '--out', 'o', '--per-stage-deg', '0'], 'OPTION_INVALID'],
    [
      'an expression above all',
      ['plan', 'result.json', '--out', 'o', '--expression', '1.2'],
      'OPTION_INVALID',
    ],
    ['floss without a finding', ['plan', 'result.json', '--out', 'o', '--floss', '11-21'], 'OPTION_INVALID'],
    [
      'floss twice at one contact',
      ['plan', 'result.json', '--out', 'o', '--floss', '11-21=open', '--floss', '21-11=closed'],
      'OPTION_INVALID',
    ],
    [
      'over-closure of a space',
      ['plan', 'result.json', '--out', 'o', '--over-close', '11-21=0.6'],
      'OPTION_INVALID',
    ],
    [
      'over-closure where no contact is',
      ['plan', 'result.json', '--out', 'o', '--over-close', '11-13=0.1'],
      'CONTACT_NOT_PRESENT',
    ],
    [
      'floss where no contact is',
      ['plan', 'result.json', '--out', 'o', '--floss', '11-24=open'],
      'CONTACT_NOT_PRESENT',
    ],
    ['an unknown part', ['plan', 'result.json', '--out', 'o', '--moved', 'left'], 'OPTION_INVALID'],
    [
      'a fixed tooth that is none',
      ['plan', 'result.json', '--out', 'o', '--fixed', '16,99'],
      'OPTION_INVALID',
    ],
    [
      'a fixed tooth that is absent',
      ['plan', 'result.json', '--out', 'o', '--fixed', '18'],
      'FIXED_NOT_PRESENT',
    ],
    ['an option without its value', ['inspect', '11.stl', '--json'], 'OPTION_WITHOUT_VALUE'],
    ['the scan as its own result', ['inspect', '11.stl', '--json', './11.stl'], 'OUTPUT_IS_INPUT'],
  ])('%s', async (_name, argv, code) => {
    const w = world();
    const before = [...w.files.keys()];
    expect(await runCli(argv, w.io)).toBe(2);
    expect(w.stderr()).toMatch(new RegExp(`^archgap: ${code}: [A-Z"'-][^\\n]*\\n$`));
    expect(w.stdout()).toBe('');
    expect([...w.files.keys()]).toEqual(before);
    expect(w.folders.has('/here/o')).toBe(false);
  });
});

describe('files in each other’s places', () => {
  const TEXT_SCAN = 'solid upper\n facet normal 0 0 1\n';

  it.each([
    [
      'clicks in the place of the scan',
      ['measure', 'clicks.json', '--out', 'o'],
      2,
      'archgap: NO_CLICKS_FILE: "clicks.json" is JSON text, no scan. If it holds the clicks: archgap measure SCAN --clicks "clicks.json" --out DIR.\n',
    ],
    [
      'a scan without clicks',
      ['measure', '11.stl', '--out', 'o'],
      2,
      'archgap: NO_CLICKS_FILE: A scan needs --clicks CLICKS.json with one click per tooth.\n',
    ],
    [
      'a scan in text in the place of the clicks',
      ['measure', '11.stl', '--clicks', 'text.stl', '--out', 'o'],
      3,
      'archgap: CLICKS_NOT_JSON: "text.stl" is a scan, where a file of text (JSON or CSV) belongs; check which file stands where.\n',
    ],
    [
      'a scan in text in the place of a result',
      ['plan', 'text.stl', '--out', 'o'],
      3,
      'archgap: RESULT_NOT_JSON: "text.stl" is a scan, where a file of text (JSON or CSV) belongs; check which file stands where.\n',
    ],
    [
      'a workbook in the place of a list',
      ['batch', 'list.xlsx', '--out', 'o'],
      3,
      'archgap: TEXT_NOT_UTF8: "list.xlsx" is a workbook of a spreadsheet program, where text belongs; export its sheet as CSV (UTF-8) and give that file.\n',
    ],
  ])('%s', async (_name, argv, status, line) => {
    const w = makeMemoryWorld({
      ...Object.fromEntries(world().files),
      '/here/text.stl': TEXT_SCAN,
      '/here/list.xlsx': zipSync({ 'xl/workbook.xml': new Uint8Array(9) }),
    });
    expect(await runCli(argv, w.io)).toBe(status);
    expect(w.stderr()).toBe(line);
    expect(w.folders.has('/here/o')).toBe(false);
  });
});

describe('bad input: status 3, one line, nothing written', () => {
  it.each([
    ['a scan that is not there', ['inspect', 'none.stl'], 'FILE_NOT_FOUND'],
    ['a folder', ['inspect', '/here'], 'FILE_IS_FOLDER'],
    ['a file that is no scan', ['inspect', 'plain.txt'], '[A-Z_]+'],
    ['a scan cut short', ['inspect', 'cut.stl'], '[A-Z_]+'],
    [
      'clicks that are not there',
      ['measure', '11.stl', '--clicks', 'none.json', '--out', 'o'],
      'FILE_NOT_FOUND',
    ],
    [
      'clicks that are not JSON',
      ['measure', '11.stl', '--clicks', 'broken.json', '--out', 'o'],
      'CLICKS_NOT_JSON',
    ],
    [
      'clicks that are not UTF-8',
      ['measure', '11.stl', '--clicks', 'latin.json', '--out', 'o'],
      'TEXT_NOT_UTF8',
    ],
    ['clicks of no jaw', ['measure', '11.stl', '--clicks', 'odd-jaw.json', '--out', 'o'], 'CLICKS_INVALID'],
    [
      'a scan to measure that is not there',
      ['measure', 'none.stl', '--clicks', 'clicks.json', '--out', 'o'],
      'FILE_NOT_FOUND',
    ],
    [
      'a crown that is not there',
      ['measure', '--crown', '11=11.stl', '--crown', '21=x.stl', '--jaw', 'upper', '--out', 'o'],
      'FILE_NOT_FOUND',
    ],
    ['a result that is not there', ['plan', 'none.json', '--out', 'o'], 'FILE_NOT_FOUND'],
    ['a result that is a click file', ['plan', 'clicks.json', '--out', 'o'], 'RESULT_WRONG_SCHEMA'],
    ['a result that is a scan', ['plan', '11.stl', '--out', 'o'], '(TEXT_NOT_UTF8|RESULT_NOT_JSON)'],
    ['a folder that is a file', ['plan', 'result.json', '--out', 'plain.txt'], 'OUT_NOT_A_FOLDER'],
    ['a folder inside a file', ['plan', 'result.json', '--out', 'plain.txt/o'], 'OUT_NOT_A_FOLDER'],
    ['a JSON file in no folder', ['inspect', '11.stl', '--json', 'nowhere/a.json'], 'OUT_NOT_WRITABLE'],
    ['a JSON file that is a folder', ['inspect', '11.stl', '--json', '/here'], 'OUT_NOT_A_FILE'],
  ])('%s', async (_name, argv, code) => {
    const w = world();
    const before = [...w.files.keys()];
    expect(await runCli(argv, w.io)).toBe(3);
    expect(w.stderr()).toMatch(new RegExp(`^archgap: ${code}: [^\\n]+\\n$`));
    expect(w.stderr()).not.toMatch(/\bat .*\.ts|Error:/);
    expect(w.stdout()).toBe('');
    expect([...w.files.keys()]).toEqual(before);
    expect(w.folders.has('/here/o')).toBe(false);
  });

  it.each([
    ['EACCES', 'OUT_NOT_WRITABLE'],
    ['EROFS', 'OUT_NOT_WRITABLE'],
    ['ENOSPC', 'DISK_FULL'],
  ])('a folder that answers %s', async (fault, code) => {
    const w = world();
    w.failWrites = fault;
    expect(await runCli(['plan', 'result.json', '--out', 'new/deep'], w.io)).toBe(3);
    expect(w.stderr()).toMatch(new RegExp(`^archgap: ${code}: [^\\n]*"new/deep"[^\\n]*\\n$`));
    expect([...w.folders].filter((path) => path.includes('new'))).toEqual([]);
  });

  it('keeps a file name on one line', async () => {
    const w = world();
    expect(await runCli(['inspect', 'a\nb\u001b[31m.stl'], w.io)).toBe(3);
    expect(w.stderr().split('\n')).toHaveLength(2);
    expect(w.stderr()).not.toContain('\u001b');
  });
});

describe('--json-errors', () => {
  it.each([
    ['before the command', ['--json-errors', 'inspect', 'none.stl']],
    ['after it', ['inspect', 'none.stl', '--json-errors']],
  ])('prints one JSON object, %s', async (_name, argv) => {
    const w = world();
    expect(await runCli(argv, w.io)).toBe(3);
    const lines = w.stderr().trimEnd().split('\n');
    expect(lines).toHaveLength(1);
    expect(JSON.parse(lines[0]!)).toMatchObject({
      code: 'FILE_NOT_FOUND',
      kind: 'input',
      exit_status: 3,
      details: { path: 'none.stl' },
    });
  });

  it('holds for wrong usage too', async () => {
    const w = world();
    expect(await runCli(['frobnicate', '--json-errors'], w.io)).toBe(2);
    expect(JSON.parse(w.stderr())).toMatchObject({ code: 'UNKNOWN_COMMAND', exit_status: 2 });
  });
});

describe('inspect', () => {
  it('prints the facts', async () => {
    const w = world();
    expect(await runCli(['inspect', '11.stl'], w.io)).toBe(0);
    expect(w.stdout()).toMatch(/^11\.stl\n {2}format {7}STL, binary/);
    expect(w.stdout()).toMatch(/0 open/);
  });

  it('writes nothing but JSON to standard output with --json -', async () => {
    const w = world();
    expect(await runCli(['inspect', '11.stl', '--json', '-'], w.io)).toBe(0);
    const document = JSON.parse(w.stdout());
    expect(document).toMatchObject({ schema: 'archgap-inspect/1', source: { file_name: '11.stl' } });
    expect(document.health.open_edges).toBe(0);
    // A box round a sphere of radius 4.
    for (const size of document.health.size_mm) expect(size).toBeCloseTo(8, 1);
  });

  it('writes the JSON file and takes the unit', async () => {
    const w = world();
    expect(await runCli(['inspect', '11.stl', '--json', 'facts.json', '--unit', 'cm'], w.io)).toBe(0);
    const document = JSON.parse(new TextDecoder().decode(w.files.get('/here/facts.json')));
    expect(document.source.unit).toMatchObject({ unit: 'cm', basis: 'user' });
    expect(document.health.size_mm[0]).toBeCloseTo(80, 0);
  });
});

describe('plan', () => {
  const run = async (...more: string[]) => {
    const w = world();
    const status = await runCli(['plan', 'result.json', '--out', 'o', ...more], w.io);
    const read = (name: string) => new TextDecoder().decode(w.files.get(`/here/o/${name}`));
    return { w, status, read };
  };

  it('writes plan, table and note', async () => {
    const { w, status, read } = await run();
    expect([status, w.stderr()]).toEqual([0, '']);
    expect([...w.files.keys()].filter((path) => path.startsWith('/here/o/')).sort()).toEqual([
      '/here/o/note.txt',
      '/here/o/plan.csv',
      '/here/o/plan.json',
    ]);
    const document = JSON.parse(read('plan.json'));
    expect(document.schema).toBe('archgap-plan/1');
    expect(document.spans.map((span: { from: string; to: string }) => `${span.from}-${span.to}`)).toEqual([
      '13-23',
      '14-24',
      '15-25',
      '16-26',
      '17-27',
    ]);
    expect(read('plan.csv').split('\n')[0]).toBe('span,contact,before_mm,after_mm,counted_from');
    expect(read('note.txt')).toContain('A licensed clinician decides');
  });

  it('passes its options on', async () => {
    const { read } = await run(
      ...['--limit', '0.2', '--max-stages', '5', '--per-stage', '0.1', '--moved', 'posterior'],
      ...['--reduction', 'none', '--fixed', '16,26'],
    );
    const document = JSON.parse(read('plan.json'));
    expect(document.settings).toMatchObject({
      limit_mm: 0.2,
      max_stages: 5,
      per_stage_mm: 0.1,
      moved: 'posterior',
      reduction: 'none',
      fixed: ['16', '26'],
    });
    for (const span of document.spans) {
      for (const tooth of span.teeth) {
        if (tooth.tooth === '16' || tooth.tooth === '26')
          expect([tooth.mesial_mm, tooth.buccal_mm]).toEqual([0, 0]);
      }
    }
    expect(document.common_practice).toMatchObject({ from: '17', to: '27' });
  });

  it('decides again for another limit: 0.25 ± 0.03 is not open against 0.30', async () => {
    const { w } = await run('--limit', '0.3');
    expect(w.stdout()).not.toMatch(/Open: [^;]*13-12/);
  });

  it('writes the note in the chosen numbers and the tables in ISO 3950', async () => {
    const { read } = await run('--numbering', 'palmer');
    expect(read('note.txt')).toContain('UR3-UR2 open, 0.25 ± 0.03 mm');
    expect(read('note.txt')).not.toMatch(/\b13-12\b/);
    expect(read('plan.csv')).toContain(',13-12,');
  });
});

describe('stopping and failing on the way', () => {
  const CROWNS = ['12', '11', '21', '22'].flatMap((tooth) => ['--crown', `${tooth}=${tooth}.stl`]);

  it('leaves nothing behind when stopped at any pause', async () => {
    for (const stopAt of [1, 3, 6]) {
      const w = world();
      const before = [...w.files.keys()];
      let pauses = 0;
      w.onPause = () => {
        if (++pauses === stopAt) w.stop.abort();
      };
      const status = await runCli(['measure', ...CROWNS, '--jaw', 'upper', '--out', 'o'], w.io);
      expect(status).toBe(130);
      expect(w.stderr()).toBe('archgap: CANCELLED: The work was stopped; nothing was changed.\n');
      expect([...w.files.keys()]).toEqual(before);
      expect(w.folders.has('/here/o')).toBe(false);
    }
  });

  it('keeps the older result whole when a later run fails', async () => {
    const w = world();
    expect(await runCli(['plan', 'result.json', '--out', 'o'], w.io)).toBe(0);
    const older = new TextDecoder().decode(w.files.get('/here/o/plan.json'));
    const [writeNew, names] = [w.io.files.writeNew, [...w.files.keys()]];
    let writes = 0;
    Object.assign(w.io.files, {
      writeNew: async (path: string, bytes: Uint8Array) => {
        // The probe and the first file fit on the disk, the second does not.
        if (++writes === 3) throw Object.assign(new Error('full'), { code: 'ENOSPC' });
        return writeNew(path, bytes);
      },
    });
    expect(await runCli(['plan', 'result.json', '--out', 'o', '--limit', '0.2'], w.io)).toBe(3);
    expect(w.stderr()).toMatch(/^archgap: DISK_FULL: /);
    expect(new TextDecoder().decode(w.files.get('/here/o/plan.json'))).toBe(older);
    expect([...w.files.keys()]).toEqual(names);
  });

  it('reports a fault of its own with status 4, without a stack trace', async () => {
    const w = world();
    Object.assign(w.io, {
      now: () => {
        throw new TypeError('clock\nbroken');
      },
    });
    expect(await runCli(['inspect', '11.stl'], w.io)).toBe(4);
    expect(w.stderr()).toMatch(/^archgap: INTERNAL: [^\n]*TypeError: clock broken[^\n]*\n$/);
  });
});

describe('progress', () => {
  it('goes to standard error on a terminal, and is wiped away', async () => {
    const w = makeMemoryWorld(sphereCrownFiles(1), { terminal: true });
    expect(await runCli(['inspect', '11.stl'], w.io)).toBe(0);
    expect(w.stderr()).toMatch(/\d+ % {2}\S/);
    expect(w.stderr().endsWith('\r\x1b[K')).toBe(true);
  });

  it('stays away when standard error is no terminal', async () => {
    const w = makeMemoryWorld(sphereCrownFiles(1));
    expect(await runCli(['inspect', '11.stl'], w.io)).toBe(0);
    expect(w.stderr()).toBe('');
  });
});
