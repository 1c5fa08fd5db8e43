import { spawn, spawnSync } from 'node:child_process';
import { once } from 'node:events';
import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { availableParallelism } from 'node:os';
import { join } from 'node:path';
import process from 'node:process';
import Papa from 'papaparse';
import { studyMouth } from './study-mouth.ts';

/*
 * npm run study [-- FOLDER [MOUTHS]]
 *
 * The worked study of docs/study.md: invented mouths, two operators, two sessions; batch, agreement, and what only a
 * made study can have, the truth.
 */

const OPERATORS = ['A', 'B'];
const SESSIONS = [1, 2];
const MOUTHS = 20;

const folder = process.argv[2] ?? join('.artefacts', 'study');
const mouths = Number(process.argv[3] ?? MOUTHS);
/** Set in the processes that make one mouth each. */
const only = process.argv[4];

const seconds = (since: number) => ((performance.now() - since) / 1000).toFixed(0);
const csv = (rows: readonly (readonly string[])[]) => `${rows.map((row) => row.join()).join('\n')}\n`;
const idOf = (seed: number) => `m${String(seed).padStart(2, '0')}`;

if (only !== undefined) writeMouth(Number(only));
else await runStudy();

function writeMouth(seed: number): void {
  const id = idOf(seed);
  const mouth = studyMouth(seed, OPERATORS, SESSIONS);
  const rows = mouth.scans.map(({ operator, session, scan, clicks }) => {
    const name = `scans/${id}-${operator}-${session}`;
    writeFileSync(join(folder, `${name}.ply`), scan);
    writeFileSync(join(folder, `${name}.json`), clicks);
    return [`${name}.ply`, `${name}.json`, mouth.jaw, id, operator, String(session)];
  });
  const spaces = mouth.spaces.map(({ toothA, toothB, gapMm }) => [
    id,
    String(toothA),
    String(toothB),
    gapMm.toFixed(6),
  ]);
  writeFileSync(join(folder, 'scans', `${id}.rows`), csv(rows));
  writeFileSync(join(folder, 'scans', `${id}.truth`), csv(spaces));
}

/** Every mouth in a process of its own, as many at once as there are cores. */
async function makeMouths(): Promise<void> {
  mkdirSync(join(folder, 'scans'), { recursive: true });
  const began = performance.now();
  let next = 1;
  const lane = async (): Promise<void> => {
    while (next <= mouths) {
      const seed = next;
      next += 1;
      const child = spawn(process.execPath, [process.argv[1]!, folder, String(mouths), String(seed)], {
        stdio: 'inherit',
      });
      const [status] = await once(child, 'exit');
      if (status !== 0) throw new Error(`mouth ${seed} could not be made`);
    }
  };
  const lanes = Number(process.env.ARCHGAP_STUDY_JOBS ?? availableParallelism());
  await Promise.all(Array.from({ length: lanes }, lane));
  const gather = (head: string, ending: string) =>
    `${head}\n${Array.from({ length: mouths }, (_, k) => readFileSync(join(folder, 'scans', `${idOf(k + 1)}.${ending}`), 'utf8')).join('')}`;
  writeFileSync(join(folder, 'manifest.csv'), gather('scan,clicks,jaw,id,operator,session', 'rows'));
  writeFileSync(join(folder, 'truth.csv'), gather('id,tooth_a,tooth_b,true_gap_mm', 'truth'));
  const scans = mouths * OPERATORS.length * SESSIONS.length;
  process.stdout.write(`${mouths} invented mouths, ${scans} scans in ${folder} (${seconds(began)} s)\n\n`);
}

function archgap(...argv: string[]): void {
  const before = performance.now();
  const run = spawnSync(process.execPath, [join('dist-cli', 'archgap.js'), ...argv], {
    stdio: ['ignore', 'inherit', 'inherit'],
  });
  if (run.status !== 0) throw new Error(`archgap ${argv[0]} ended with ${run.status}`);
  process.stdout.write(`(${argv[0]}: ${seconds(before)} s)\n\n`);
}

async function runStudy(): Promise<void> {
  await makeMouths();
  archgap('batch', join(folder, 'manifest.csv'), '--out', join(folder, 'batch'));
  archgap('agreement', join(folder, 'batch', 'contacts.csv'), '--out', join(folder, 'agreement'));
  process.stdout.write(againstTruth());
}

/** How the measurements lie to the truth, which a study on people never has. */
function againstTruth(): string {
  const table = (path: string) =>
    Papa.parse<Record<string, string>>(readFileSync(join(folder, path), 'utf8').trimEnd(), { header: true })
      .data;
  const trueGap = new Map<string, number>();
  for (const { id, tooth_a, tooth_b, true_gap_mm } of table('truth.csv')) {
    trueGap.set(`${id} ${tooth_a} ${tooth_b}`, Number(true_gap_mm));
    trueGap.set(`${id} ${tooth_b} ${tooth_a}`, Number(true_gap_mm));
  }
  const rows = table('batch/contacts.csv').map((row) => ({
    gap: row.gap_mm === '' ? null : Number(row.gap_mm),
    u95: Number(row.gap_u95_mm),
    bound: row.upper_bound_mm === '' ? null : Number(row.upper_bound_mm),
    truth: trueGap.get(`${row.id} ${row.tooth_a} ${row.tooth_b}`) ?? Number.NaN,
  }));
  const measured = rows.flatMap(({ gap, u95, truth: real }) =>
    gap === null ? [] : [{ error: gap - real, u95 }],
  );
  const mean = measured.reduce((sum, { error }) => sum + error, 0) / measured.length;
  const rms = Math.sqrt(measured.reduce((sum, { error }) => sum + error ** 2, 0) / measured.length);
  const within = measured.filter(({ error, u95 }) => Math.abs(error) <= u95).length;
  const bounded = rows.filter(({ gap, bound }) => gap === null && bound !== null);
  const held = bounded.filter(({ bound, truth: real }) => real <= bound!).length;
  return `Against the truth: ${measured.length} of ${rows.length} contacts have a number; error mean ${(1000 * mean).toFixed(1)} µm, rms ${(1000 * rms).toFixed(1)} µm; the interval holds the truth in ${within} of ${measured.length} (${((100 * within) / measured.length).toFixed(1)} %). Upper bounds hold in ${held} of ${bounded.length}.\n`;
}
