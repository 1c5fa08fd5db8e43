// Distances of neighbouring crowns, as `archgap measure` writes them, against mesh-distance.cpp (CGAL).
//
//   apt-get install g++ libcgal-dev libgmp-dev libmpfr-dev
//   npm run build
//   node tests/reference/oracle/compare-distances.mjs upper FOLDER [archgap.js]
//
// FOLDER holds one closed shell per tooth, TOOTH.stl, binary. Prints a row per pair and the largest difference; ends
// with status 1 when one exceeds the tolerance.
import { execFileSync } from 'node:child_process';
import { mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import process from 'node:process';
import { fileURLToPath } from 'node:url';

/** The oracle prints nine decimals; both read the same 32-bit numbers. */
const TOLERANCE_MM = 1e-6;

const [jaw, folder, cli = 'dist-cli/archgap.js'] = process.argv.slice(2);
if (!jaw || !folder) {
  console.error('compare-distances.mjs upper|lower FOLDER [archgap.js]');
  process.exit(2);
}
const scratch = mkdtempSync(join(tmpdir(), 'oracle-'));
try {
  const program = join(scratch, 'mesh-distance');
  const source = fileURLToPath(new URL('mesh-distance.cpp', import.meta.url));
  execFileSync('g++', ['-O2', '-std=c++17', source, '-o', program, '-lgmp', '-lmpfr'], { stdio: 'inherit' });
  const crowns = readdirSync(folder)
    .filter((name) => /^\d\d\.stl$/.test(name))
    .flatMap((name) => ['--crown', `${name.slice(0, 2)}=${join(folder, name)}`]);
  execFileSync(process.execPath, [cli, 'measure', ...crowns, '--jaw', jaw, '--out', scratch]);
  const { contacts } = JSON.parse(readFileSync(join(scratch, 'result.json'), 'utf8'));
  let worst = 0;
  let compared = 0;
  for (const { tooth_a: a, tooth_b: b, nearest_mm: ours, gap_mm: signed } of contacts) {
    if (ours === null) continue;
    const told = execFileSync(program, [join(folder, `${a}.stl`), join(folder, `${b}.stl`)], {
      encoding: 'utf8',
    });
    const theirs = Number(told.split(' ')[0]);
    // Crowns that run into each other: CGAL says 0, the project the depth as a negative number.
    const difference = Math.abs(Math.max(0, ours) - theirs);
    worst = Math.max(worst, difference);
    compared += 1;
    console.log(
      `${a}-${b}  cgal ${theirs.toFixed(6)}  nearest ${ours.toFixed(6)}  signed ${signed?.toFixed(6) ?? '-'}  difference ${difference.toExponential(1)}`,
    );
  }
  console.log(`${compared} pairs, largest difference ${worst.toExponential(2)} mm`);
  if (compared === 0 || worst > TOLERANCE_MM) process.exitCode = 1;
} finally {
  rmSync(scratch, { recursive: true });
}
