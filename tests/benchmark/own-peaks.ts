import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { makeAnalysisService } from '../../workers/analysis-service.ts';
import { type ArchFiles, archStl } from './arch-files.ts';

/** Highest resident memory, MB, of processes that do one thing with one file, as a user has it; Node itself is in it. */
export interface OwnPeaks {
  /** The page's worker opens the scan. */
  readonly openMb: number;
  /** The built command line inspects the scan ... */
  readonly inspectMb: number;
  /** ... and measures it, all files written. */
  readonly measureMb: number;
}

const MARK = 'highest resident memory, kB: ';
/** Run before a program, tells its memory when it ends. */
const TELLER = `data:text/javascript,process.on("exit",()=>console.error("${MARK}"+process.resourceUsage().maxRSS))`;

function peakOf(args: readonly string[]): number {
  const { status, stderr } = spawnSync(process.execPath, ['--import', TELLER, ...args], { encoding: 'utf8' });
  const told = stderr.split(MARK)[1];
  if (status !== 0 || told === undefined)
    throw new Error(`${args.join(' ')} ended with status ${status}: ${stderr}`);
  return Number.parseInt(told, 10) / 1024;
}

/**
 * @param self - the benchmark's own program, which has {@link openAsWorker} under the command `open`
 * @param rounds - 0 = the file as it is
 */
export async function ownPeaks(self: string, files: ArchFiles, rounds: number): Promise<OwnPeaks> {
  const folder = mkdtempSync(join(tmpdir(), 'archgap-peaks-'));
  try {
    const scan = join(folder, 'arch.stl');
    writeFileSync(scan, await archStl(files, rounds));
    const program = 'dist-cli/archgap.js';
    return {
      openMb: peakOf([self, 'open', scan]),
      inspectMb: peakOf([program, 'inspect', scan]),
      measureMb: peakOf([program, 'measure', scan, '--clicks', files.clicks, '--out', join(folder, 'out')]),
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
