import { spawn, spawnSync } from 'node:child_process';
import {
  closeSync,
  cpSync,
  existsSync,
  lstatSync,
  mkdtempSync,
  openSync,
  readdirSync,
  readFileSync,
  readlinkSync,
  realpathSync,
  rmSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import Papa from 'papaparse';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { SPHERE_SPACES_MM, sphereCrownFiles } from '../helpers/sphere-crowns.ts';

const BUILT = fileURLToPath(new URL('../../dist-cli/', import.meta.url));
const DATA = fileURLToPath(new URL('../../../shared/data/', import.meta.url));
const built = existsSync(join(BUILT, 'archgap.js'));
const dataPresent = existsSync(join(DATA, 'synthetic/upper-three-spaces/scan.ply'));
if (!built)
  console.warn('dist-cli is absent (npm run build makes it): the tests of the built command line do not run');
if (!dataPresent) console.warn('../shared/data is absent: the command line is not run on its scans');

/** A copy far from node_modules, as a user would have it. */
let home = '';
beforeAll(() => {
  home = mkdtempSync(join(tmpdir(), 'archgap-cli-'));
  if (built) cpSync(BUILT, join(home, 'cli'), { recursive: true });
  for (const [name, bytes] of Object.entries(sphereCrownFiles(0.3))) writeFileSync(join(home, name), bytes);
});
afterAll(() => rmSync(home, { recursive: true, force: true }));

function archgap(...argv: string[]) {
  const run = spawnSync(process.execPath, [join(home, 'cli/archgap.js'), ...argv], {
    cwd: home,
    encoding: 'utf8',
  });
  return { status: run.status, stdout: run.stdout, stderr: run.stderr };
}

function table(path: string): Record<string, string>[] {
  const text = readFileSync(join(home, path), 'utf8').trimEnd();
  return Papa.parse<Record<string, string>>(text, { header: true }).data;
}

const CROWNS = ['12', '11', '21', '22'].flatMap((tooth) => ['--crown', `${tooth}=${tooth}.stl`]);

describe.runIf(built)('node archgap.js, built', () => {
  it('prints help and version without node_modules', () => {
    const { version } = JSON.parse(readFileSync(new URL('../../package.json', import.meta.url), 'utf8'));
    expect(archgap('--help')).toMatchObject({ status: 0, stderr: '' });
    expect(archgap('--version')).toMatchObject({ status: 0, stdout: `${version}\n` });
  });

  it('answers wrong usage with 2 and bad input with 3, in one line', () => {
    const usage = archgap('measure', '11.stl');
    expect(usage.status).toBe(2);
    expect(usage.stderr).toMatch(/^archgap: [A-Z_]+: [^\n]+\n$/);
    const missing = archgap('inspect', 'none.stl');
    expect(missing).toMatchObject({ status: 3, stdout: '' });
    expect(missing.stderr).toMatch(/^archgap: FILE_NOT_FOUND: [^\n]+\n$/);
    const json = archgap('--json-errors', 'inspect', 'none.stl');
    expect(JSON.parse(json.stderr)).toMatchObject({ code: 'FILE_NOT_FOUND', exit_status: 3 });
  });

  it('refuses a folder that cannot be made, before measuring', () => {
    const run = archgap('measure', ...CROWNS, '--jaw', 'upper', '--out', '11.stl/out');
    expect(run.status).toBe(3);
    expect(run.stderr).toMatch(/^archgap: OUT_NOT_A_FOLDER: [^\n]+\n$/);
  });

  it('follows links to the file behind them, and never replaces a device or the scan itself', () => {
    writeFileSync(join(home, 'behind.json'), 'older');
    symlinkSync('behind.json', join(home, 'link.json'));
    expect(archgap('inspect', '11.stl', '--json', 'link.json').status).toBe(0);
    expect(lstatSync(join(home, 'link.json')).isSymbolicLink()).toBe(true);
    expect(JSON.parse(readFileSync(join(home, 'behind.json'), 'utf8')).schema).toBe('archgap-inspect/1');
    const device = archgap('inspect', '11.stl', '--json', '/dev/null');
    expect(device.status).toBe(3);
    expect(device.stderr).toMatch(/^archgap: OUT_NOT_A_FILE: [^\n]+\n$/);
    expect(lstatSync('/dev/null').isCharacterDevice()).toBe(true);
    symlinkSync('11.stl', join(home, 'alias.stl'));
    const scan = readFileSync(join(home, '11.stl'));
    expect(archgap('inspect', '11.stl', '--json', 'alias.stl').stderr).toMatch(/^archgap: OUTPUT_IS_INPUT: /);
    expect(readFileSync(join(home, '11.stl')).equals(scan)).toBe(true);
  });

  it('inspects, measures and plans', () => {
    const facts = archgap('inspect', '11.stl', '--json', '-');
    expect(facts.status).toBe(0);
    expect(JSON.parse(facts.stdout).health.open_edges).toBe(0);
    expect(archgap('measure', ...CROWNS, '--jaw', 'upper', '--out', 'm')).toMatchObject({
      status: 0,
      stderr: '',
    });
    expect(readdirSync(join(home, 'm')).sort()).toEqual([
      'contacts.csv',
      'labelled.ply',
      'report.html',
      'result.json',
      'teeth.csv',
    ]);
    expect(table('m/contacts.csv').map((row) => `${row.tooth_a}-${row.tooth_b}`)).toEqual(
      Object.keys(SPHERE_SPACES_MM),
    );
    expect(archgap('plan', 'm/result.json', '--out', 'p')).toMatchObject({ status: 0, stderr: '' });
    expect(readdirSync(join(home, 'p')).sort()).toEqual(['note.txt', 'plan.csv', 'plan.json']);
  });

  it('leaves nothing behind when SIGINT comes while it works', async () => {
    for (const [name, bytes] of Object.entries(sphereCrownFiles(0.1)))
      writeFileSync(join(home, `fine-${name}`), bytes);
    const crowns = ['12', '11', '21', '22'].flatMap((tooth) => ['--crown', `${tooth}=fine-${tooth}.stl`]);
    const child = spawn(
      process.execPath,
      [join(home, 'cli/archgap.js'), 'measure', ...crowns, '--jaw', 'upper', '--out', 'stopped/deep'],
      { cwd: home },
    );
    const ended = new Promise<number | null>((done) => child.on('close', done));
    let stderr = '';
    child.stderr.on('data', (chunk: Buffer) => {
      stderr += chunk.toString();
    });
    // The folder is made before the first file is read; there is a second of work to come.
    while (!existsSync(join(home, 'stopped/deep'))) await new Promise((next) => setTimeout(next, 5));
    child.kill('SIGINT');
    expect(await ended).toBe(130);
    expect(stderr).toBe('archgap: CANCELLED: The work was stopped; nothing was changed.\n');
    expect(existsSync(join(home, 'stopped'))).toBe(false);
  });
});

/** How often a process has a file open. */
function timesOpen(pid: number, path: string): number {
  const links = readdirSync(`/proc/${pid}/fd`).map((fd) => {
    try {
      return readlinkSync(`/proc/${pid}/fd/${fd}`);
    } catch {
      return '';
    }
  });
  return links.filter((link) => link === path).length;
}

describe.runIf(built)('node archgap.js, waiting for a pipe', () => {
  const pipe = () => join(home, 'scan.fifo');
  beforeAll(() => {
    expect(spawnSync('sh', ['-c', 'mkfifo "$0"', pipe()]).status).toBe(0);
    writeFileSync(join(home, 'list.csv'), 'scan,clicks,jaw\n11.stl,scan.fifo,upper\n');
  });

  it.each<[string, string[]]>([
    ['a scan that nobody writes', ['inspect', 'scan.fifo']],
    ['a scan whose writer stands still', ['inspect', '/dev/stdin']],
    ['clicks that nobody writes', ['measure', '11.stl', '--clicks', 'scan.fifo', '--out', 'waited']],
    ['a list that nobody writes', ['batch', 'scan.fifo', '--out', 'waited']],
    ['clicks for a thread of a batch', ['batch', 'list.csv', '--out', 'waited']],
  ])('stops at SIGINT: %s', async (_, argv) => {
    const isStdin = argv.includes('/dev/stdin');
    // For reading and writing: there is a writer as long as it is open here.
    const stdin = isStdin ? openSync(pipe(), 'r+') : null;
    const child = spawn(process.execPath, [join(home, 'cli/archgap.js'), ...argv], {
      cwd: home,
      stdio: [stdin ?? 'ignore', 'ignore', 'pipe'],
    });
    const ended = new Promise<number | null>((done) => child.on('close', done));
    let stderr = '';
    child.stderr!.on('data', (chunk: Buffer) => {
      stderr += chunk.toString();
    });
    while (timesOpen(child.pid!, realpathSync(pipe())) < (isStdin ? 2 : 1))
      await new Promise((next) => setTimeout(next, 5));
    child.kill('SIGINT');
    expect(await ended).toBe(130);
    expect(stderr).toMatch(/^archgap: CANCELLED: [^\n]+\n$/);
    expect(existsSync(join(home, 'waited/contacts.csv'))).toBe(false);
    if (stdin !== null) closeSync(stdin);
  });

  it('says the same of a scan that comes through a pipe', () => {
    const script = 'cat 11.stl | "$0" cli/archgap.js inspect /dev/stdin';
    const run = spawnSync('sh', ['-c', script, process.execPath], { cwd: home, encoding: 'utf8' });
    expect({ status: run.status, stderr: run.stderr }).toEqual({ status: 0, stderr: '' });
    expect(run.stdout.replace(/^stdin\n/, '11.stl\n')).toBe(archgap('inspect', '11.stl').stdout);
  });
});

describe.runIf(built && dataPresent)('node archgap.js on scans with known spaces', () => {
  interface Truth {
    readonly pairs: readonly {
      readonly a: number;
      readonly b: number;
      readonly true_gap_mm: number;
      readonly state: string;
    }[];
  }

  it.each(['upper-three-spaces', 'lower-all-closed'])(
    '%s: no open contact is missed, no closed one called open',
    (name) => {
      const folder = join(DATA, 'synthetic', name);
      const run = archgap(
        'measure',
        join(folder, 'scan.ply'),
        '--clicks',
        join(folder, 'clicks.json'),
        '--out',
        name,
      );
      expect(run).toMatchObject({ status: 0, stderr: '' });
      const truth: Truth = JSON.parse(readFileSync(join(folder, 'truth.json'), 'utf8'));
      const rows = table(`${name}/contacts.csv`);
      expect(rows).toHaveLength(truth.pairs.length);
      for (const pair of truth.pairs) {
        // The truth of a lower jaw runs from the patient's left to right.
        const row = rows.find(({ tooth_a, tooth_b }) =>
          [`${pair.a}-${pair.b}`, `${pair.b}-${pair.a}`].includes(`${tooth_a}-${tooth_b}`),
        )!;
        expect(`${pair.a}-${pair.b} ${row.status}`).toBe(
          `${pair.a}-${pair.b} ${pair.state === 'open' ? 'open' : 'bridged'}`,
        );
        if (pair.state === 'open') {
          expect(Math.abs(Number(row.gap_mm) - pair.true_gap_mm)).toBeLessThanOrEqual(Number(row.gap_u95_mm));
        } else {
          expect(row.gap_mm).toBe('');
          expect(Number(row.upper_bound_mm)).toBeGreaterThanOrEqual(pair.true_gap_mm);
        }
      }
    },
  );

  it('plans the three spaces: a span that ends at the first molars opens the contacts behind them', () => {
    const run = archgap(
      'plan',
      'upper-three-spaces/result.json',
      '--out',
      'three-plan',
      '--moved',
      'posterior',
    );
    expect(run).toMatchObject({ status: 0, stderr: '' });
    interface Span {
      readonly from: string;
      readonly to: string;
      readonly contacts: readonly {
        readonly a: string;
        readonly b: string;
        readonly after_mm: number;
        readonly opened: boolean;
      }[];
    }
    const spans: readonly Span[] = JSON.parse(readFileSync(join(home, 'three-plan/plan.json'), 'utf8')).spans;
    const opened = (from: string) =>
      spans
        .find((span) => span.from === from)!
        .contacts.filter((contact) => contact.opened)
        .map(({ a, b }) => `${a}-${b}`);
    expect(opened('16')).toEqual(['17-16', '26-27']);
    expect(opened('17')).toEqual([]);
  });

  it('measures real crowns, and real teeth that all touch without inventing a space', () => {
    const crownFolder = join(DATA, 'real/crowns-lower');
    const crowns = readdirSync(crownFolder)
      .filter((name) => name.endsWith('.stl'))
      .flatMap((name) => ['--crown', `${name.slice(0, 2)}=${join(crownFolder, name)}`]);
    expect(archgap('measure', ...crowns, '--jaw', 'lower', '--out', 'lower')).toMatchObject({
      status: 0,
      stderr: '',
    });
    const widest = table('lower/contacts.csv').find((row) => row.tooth_a === '45')!;
    // The data's README: neighbours mostly 0.03-0.25 mm apart, 45-44 about 1.18.
    expect(Number(widest.nearest_mm)).toBeCloseTo(1.18, 1);
    const arch = join(DATA, 'real/arch-upper');
    expect(
      archgap('measure', join(arch, 'scan.stl'), '--clicks', join(arch, 'clicks.json'), '--out', 'real'),
    ).toMatchObject({ status: 0, stderr: '' });
    const rows = table('real/contacts.csv');
    expect(rows).toHaveLength(13);
    expect(rows.filter((row) => row.status === 'open')).toEqual([]);
  });
});
