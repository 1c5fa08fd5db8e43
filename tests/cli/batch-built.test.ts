import { spawn, spawnSync } from 'node:child_process';
import {
  cpSync,
  existsSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import Papa from 'papaparse';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { writePly } from '../../fixtures/write-ply.ts';
import { smallArch } from '../helpers/small-arch.ts';

const BUILT = fileURLToPath(new URL('../../dist-cli/', import.meta.url));
const built = existsSync(join(BUILT, 'archgap.js'));
if (!built)
  console.warn('dist-cli is absent (npm run build makes it): the tests of the built batch do not run');
const parallel = spawnSync('parallel', ['--version'], { encoding: 'utf8' }).stdout?.includes('GNU parallel');
if (!parallel) console.warn('GNU parallel is absent: its recipe is not run');
/** The statistics that the guide names, where they are installed. Debian's own Python has the packages of Debian. */
const rscript = spawnSync('Rscript', ['--version']).status === 0;
if (!rscript) console.warn('R is absent: the tables are not read with it');
const python = ['python3', '/usr/bin/python3'].find(
  (command) => spawnSync(command, ['-c', 'import pandas']).status === 0,
);
if (!python) console.warn('pandas is absent: the tables are not read with it');

let home = '';
beforeAll(() => {
  if (!built) return;
  home = mkdtempSync(join(tmpdir(), 'archgap-batch-'));
  cpSync(BUILT, join(home, 'cli'), { recursive: true });
  const arch = smallArch();
  writeFileSync(join(home, 's.ply'), writePly(arch));
  writeFileSync(join(home, 'c.json'), JSON.stringify(arch.clicks));
  writeFileSync(join(home, 'cut.ply'), writePly(arch).subarray(0, 900));
  const row = (id: number) => `${id === 2 ? 'cut.ply' : 's.ply'},c.json,m${id}\n`;
  writeFileSync(join(home, 'm.csv'), `scan,clicks,id\n${[1, 2, 3].map(row).join('')}`);
}, 120_000);
afterAll(() => rmSync(home, { recursive: true, force: true }));

function archgap(...argv: string[]) {
  const command = [join(home, 'cli/archgap.js'), 'batch', 'm.csv', ...argv];
  return spawnSync(process.execPath, command, { cwd: home, encoding: 'utf8' });
}

/** Every file below a folder with its content, base64. */
function below(folder: string): Record<string, string> {
  const paths = readdirSync(join(home, folder), { recursive: true, encoding: 'utf8' }).sort();
  const files = paths.filter((path) => statSync(join(home, folder, path)).isFile());
  return Object.fromEntries(files.map((path) => [path, readFileSync(join(home, folder, path), 'base64')]));
}

describe.runIf(built)('node archgap.js batch, on threads of the one built file', () => {
  it('gives the same bytes whatever the jobs, and ends with 1 for the scan that was cut short', () => {
    const one = archgap('--out', 'one', '--jobs', '1');
    expect([one.status, one.stderr]).toEqual([1, '']);
    expect(one.stdout).toMatch(/^3 scans: 2 measured, 0 unchanged since before, 1 failed\.\n {2}m2: PLY_/);
    expect(archgap('--out', 'two', '--jobs', '2').status).toBe(1);
    const files = below('one');
    expect(Object.keys(files)).toHaveLength(5 + 2 * 6 + 1);
    expect(below('two')).toEqual(files);
  });

  it('stopped by SIGINT, leaves whole rows only, and goes on from there', async () => {
    const child = spawn(
      process.execPath,
      [join(home, 'cli/archgap.js'), 'batch', 'm.csv', '--out', 'stopped', '--jobs', '1'],
      { cwd: home },
    );
    const ended = new Promise<number | null>((done) => child.on('close', done));
    let stderr = '';
    child.stderr.on('data', (chunk: Buffer) => {
      stderr += chunk.toString();
    });
    while (!existsSync(join(home, 'stopped/results/m1/row.json')))
      await new Promise((next) => setTimeout(next, 5));
    child.kill('SIGINT');
    expect(await ended).toBe(130);
    expect(stderr).toMatch(/^archgap: CANCELLED: The batch was stopped after \d of 3 scans/);
    const left = Object.keys(below('stopped'));
    expect(left.filter((path) => path.endsWith('.part') || path === 'contacts.csv')).toEqual([]);
    expect(archgap('--out', 'stopped').status).toBe(1);
    expect(below('stopped')).toEqual(below('one'));
  });

  it.runIf(parallel)('run by GNU parallel as the guide has it, and merged, gives the same bytes', () => {
    // docs/study.md, with one machine in the place of several.
    const guide = readFileSync(new URL('../../docs/study.md', import.meta.url), 'utf8');
    const recipe = /```sh\n(parallel [^\n]*)\n(archgap batch [^\n]*--merge[^\n]*)\n```/.exec(guide);
    expect(recipe).not.toBeNull();
    const [, split, merge] = recipe!;
    const script = `archgap() { "${process.execPath}" cli/archgap.js "$@"; }
export -f archgap
${split!.replace('--sshloginfile hosts.txt ', '').replace('--workdir "$PWD" ', '').replaceAll('manifest.csv', 'm.csv')}
${merge!.replaceAll('manifest.csv', 'm.csv')}
`;
    const run = spawnSync('bash', ['-c', script], { cwd: home, encoding: 'utf8' });
    expect(run.stdout).toContain('3 scans: 2 taken over, 1 failed.');
    expect(below('study')).toEqual(below('one'));
  });

  /** What both programs are to say of the table of contacts: rows, cells with a number, their sum, kinds of columns. */
  const told = () => {
    const text = readFileSync(join(home, 'one/contacts.csv'), 'utf8').trimEnd();
    const { data } = Papa.parse<Record<string, string>>(text, { header: true });
    const gaps = data.flatMap(({ gap_mm }) => (gap_mm === '' ? [] : [Number(gap_mm)]));
    expect(gaps.length).toBeGreaterThan(0);
    expect(gaps.length).toBeLessThan(data.length);
    const sum = gaps.reduce((total, gap) => total + gap, 0);
    return `${data.length} ${gaps.length} ${sum.toFixed(4)} number integer text`;
  };

  it.runIf(rscript)('reads into R as the guide has it, without cleaning', () => {
    const guide = readFileSync(new URL('../../docs/study.md', import.meta.url), 'utf8');
    const read = /In R: `(read\.csv\([^`]*\))`/.exec(guide)![1]!.replace('study/', 'one/');
    const script = `d <- ${read}
kind <- function(x) if (is.integer(x)) "integer" else if (is.numeric(x)) "number" else "text"
n <- sum(!is.na(d$gap_mm))
cat(nrow(d), n, sprintf("%.4f", sum(d$gap_mm, na.rm = TRUE)), kind(d$gap_mm), kind(d$tooth_a), kind(d$status))`;
    const run = spawnSync('Rscript', ['-e', script], { cwd: home, encoding: 'utf8' });
    expect([run.stdout.trim(), run.stderr]).toEqual([told(), '']);
  });

  it.runIf(python)('reads into pandas as the guide has it, without cleaning', () => {
    const guide = readFileSync(new URL('../../docs/study.md', import.meta.url), 'utf8');
    const read = /In Python: `(pandas\.read_csv\([^`]*\))`/.exec(guide)![1]!.replace('study/', 'one/');
    const script = `import pandas
d = ${read}
kind = lambda x: {"f": "number", "i": "integer"}.get(x.dtype.kind, "text")
print(len(d), d.gap_mm.notna().sum(), "%.4f" % d.gap_mm.sum(), kind(d.gap_mm), kind(d.tooth_a), kind(d.status))`;
    const run = spawnSync(python!, ['-c', script], { cwd: home, encoding: 'utf8' });
    expect([run.stdout.trim(), run.stderr]).toEqual([told(), '']);
  });
});
