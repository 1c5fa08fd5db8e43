import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { makeAnalysisService } from '../../workers/analysis-service.ts';
import { type ArchFiles, archStl } from './arch-files.ts';
import { readUse, summary, type Taken, TELLER, type Timing } from './taken.ts';

/** Processes that do one thing with one file, as a user has it. */
export interface OwnUse {
  /** Highest resident memory, MB, Node itself among it: the page's worker opens the scan, */
  readonly openMb: number;
  /** the built command line inspects the scan ... */
  readonly inspectMb: number;
  /** ... and measures it, all files written; */
  readonly measureMb: number;
  /** Node does nothing. */
  readonly nodeMb: number;
  /** The two commands from the start of Node to its end. */
  readonly timings: readonly Timing[];
}

const RUNS = 3;

interface Use extends Taken {
  readonly mb: number;
}

function useOf(args: readonly string[]): Use {
  const start = performance.now();
  const { status, stderr } = spawnSync(process.execPath, ['--import', TELLER, ...args], { encoding: 'utf8' });
  const wall = performance.now() - start;
  if (status !== 0) throw new Error(`${args.join(' ')} ended with status ${status}: ${stderr}`);
  return { wall, ...readUse(stderr) };
}

const usesOf = (args: readonly string[]): Use[] => Array.from({ length: RUNS }, () => useOf(args));

const peakOf = (uses: readonly Use[]): number => Math.max(...uses.map(({ mb }) => mb));

/**
 * @param self - the benchmark's own program, which has {@link openAsWorker} under the command `open`
 * @param triangles - null = the file as it is
 */
export async function ownUse(self: string, files: ArchFiles, triangles: number | null): Promise<OwnUse> {
  const folder = mkdtempSync(join(tmpdir(), 'archgap-peaks-'));
  try {
    const scan = join(folder, 'arch.stl');
    writeFileSync(scan, await archStl(files, triangles));
    const program = 'dist-cli/archgap.js';
    const inspect = usesOf([program, 'inspect', scan]);
    const out = join(folder, 'out');
    const measure = usesOf([program, 'measure', scan, '--clicks', files.clicks, '--out', out]);
    return {
      openMb: peakOf(usesOf([self, 'open', scan])),
      inspectMb: peakOf(inspect),
      measureMb: peakOf(measure),
      nodeMb: peakOf(usesOf(['--eval', '0'])),
      timings: [summary('`archgap inspect`', inspect), summary('`archgap measure`, all files', measure)],
    };
  } finally {
    rmSync(folder, { recursive: true });
  }
}

/** What the page's worker does when a scan is opened, with the shared memory it has there. */
export async function openAsWorker(file: string): Promise<void> {
  Object.assign(globalThis, { crossOriginIsolated: true });
  const service = makeAnalysisService((reply) => reply);
  const options = { fileName: file, unit: null };
  await service.openScan(new Uint8Array(readFileSync(file)), options, new MessageChannel().port2);
}
