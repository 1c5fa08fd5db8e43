import { spawn } from 'node:child_process';
import { mkdtempSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { writePly } from '../../fixtures/write-ply.ts';
import { checkGrowth, type Sample } from './growth.ts';
import { treeMb } from './resident-memory.ts';
import { makeSoakArch } from './soak-arch.ts';

/** Between two looks at the memory of the process. */
const LOOK_MS = 500;

/** One batch of `count` scans (four front teeth each) in one process: its resident memory as the rows are done. */
export async function soakBatch(count: number): Promise<boolean> {
  const home = mkdtempSync(join(tmpdir(), 'archgap-soak-'));
  try {
    const arch = makeSoakArch();
    const scan = writePly(arch);
    writeFileSync(join(home, 'c.json'), JSON.stringify(arch.clicks));
    // A file of its own for every row, as a study has it.
    const rows = Array.from({ length: count }, (_, k) => {
      writeFileSync(join(home, `s${k}.ply`), scan);
      return `s${k}.ply,c.json,m${k}\n`;
    });
    writeFileSync(join(home, 'm.csv'), `scan,clicks,id\n${rows.join('')}`);
    console.log(`${count} scans of ${arch.triangles.length / 3} triangles`);
    const child = spawn(
      process.execPath,
      ['dist-cli/archgap.js', 'batch', join(home, 'm.csv'), '--out', join(home, 'out')],
      {
        stdio: ['ignore', 'inherit', 'inherit'],
      },
    );
    const samples: Sample[] = [];
    let told = 0;
    const look = setInterval(() => {
      const done = doneRows(join(home, 'out/results'));
      const megabytes = treeMb(child.pid);
      if (done === 0 || megabytes === null) return;
      if (done >= told + count / 20) {
        told = done;
        console.log(`${done} done: ${megabytes.toFixed(0)} MB`);
      }
      samples.push({ done, megabytes });
    }, LOOK_MS);
    const status = await new Promise<number | null>((done) => child.on('close', done));
    clearInterval(look);
    if (status !== 0) throw new Error(`The batch ended with status ${status}.`);
    return checkGrowth('resident memory of the batch', samples, count);
  } finally {
    rmSync(home, { recursive: true, force: true });
  }
}

function doneRows(folder: string): number {
  try {
    return readdirSync(folder).length;
  } catch {
    return 0;
  }
}
