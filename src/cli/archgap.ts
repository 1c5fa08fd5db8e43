import process from 'node:process';
import { isMainThread } from 'node:worker_threads';
import { faultCode } from './file-faults.ts';
import { makeNodeIo } from './node-io.ts';
import { serveRows } from './node-worker.ts';
import { reportFault } from './report-fault.ts';
import { runCli } from './run-cli.ts';

/** Set by the build from package.json. */
declare const __ARCHGAP_VERSION__: string;

/** This file, which the threads of a batch run again. */
const program = new URL(import.meta.url);

if (isMainThread) await runProgram();
else serveRows((signal) => makeNodeIo(__ARCHGAP_VERSION__, signal, program));

async function runProgram(): Promise<void> {
  const stop = new AbortController();
  for (const signal of ['SIGINT', 'SIGTERM'] as const) process.on(signal, () => stop.abort());

  // A reader of our output that goes away early (`archgap inspect scan.ply | head -1`) is no fault.
  process.stdout.on('error', (fault) => {
    if (faultCode(fault) !== 'EPIPE') throw fault;
  });

  const failHard = (fault: unknown): void => {
    const report = reportFault(fault, process.argv.includes('--json-errors'), __ARCHGAP_VERSION__);
    process.stderr.write(report.line);
    process.exit(report.status);
  };
  process.on('uncaughtException', failHard);
  process.on('unhandledRejection', failHard);

  process.exitCode = await runCli(
    process.argv.slice(2),
    makeNodeIo(__ARCHGAP_VERSION__, stop.signal, program),
  );
}
