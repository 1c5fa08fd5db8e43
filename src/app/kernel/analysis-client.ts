import { type Remote, releaseProxy, transfer, wrap } from 'comlink';
import {
  type AnalysisApi,
  CANCEL_MESSAGE,
  type JobProgress,
  type LayOverReply,
  type MeasureReply,
  type OpenOptions,
  type OpenReply,
  type OpposingFacts,
  type PackRequest,
  type RecordFile,
  type RecordRequest,
  type SegmentReply,
} from '../../../workers/analysis-api.ts';
import { installErrorTransfer } from '../../../workers/error-transfer-api.ts';
import type {
  AgreementReply,
  AgreementRequest,
  CrownsFileRequest,
  CrownsReply,
  CrownsRequest,
  FitReply,
  NamedBytes,
  RestorationReply,
} from '../../../workers/lab-api.ts';
import type { CaseContent } from '../../casefile/types.ts';
import type { ClosurePlan, ClosureSettings } from '../../closure/types.ts';
import type { ContactView } from '../../contacts/crown-contact-view.ts';
import type { Analysis, MeasureSettings, SectionProfile } from '../../contacts/types.ts';
import { ArchgapError, cancelledError } from '../../geometry/archgap-error.ts';
import type { ClickHelp } from '../../teeth/propose-clicks.ts';
import type { ClickSet, ToothNumber } from '../../teeth/types.ts';
import { copyInPieces } from './copy-in-pieces.ts';
import type { ScanBytes } from './scan-bytes.ts';

/** What the client needs of a browser's Worker. */
export interface WorkerLike {
  postMessage(message: unknown, transfer?: Transferable[]): void;
  addEventListener(type: string, listener: (event: Event) => void): void;
  removeEventListener(type: string, listener: (event: Event) => void): void;
  terminate(): void;
}

/** Who watches a long call, and how it is stopped. */
export interface JobWatch {
  readonly onProgress: (progress: JobProgress) => void;
  readonly signal: AbortSignal;
}

/**
 * The worker as the page sees it. All calls reject with {@link ArchgapError}; when the worker dies every pending
 * call rejects with `WORKER_STOPPED`, and the next call starts a new worker, which knows no scan.
 */
export interface AnalysisClient {
  /** Starts the worker before it is needed: it rehearses until the first call. */
  start(): void;
  /** The bytes are read anew, so that the scan can be opened again; a file of the user is read by the worker. */
  openScan(bytes: ScanBytes, options: OpenOptions, watch: JobWatch): Promise<OpenReply>;
  readClicks(scanId: string, text: string): Promise<ClickSet>;
  draft(scanId: string, clicks: ClickSet): Promise<SegmentReply | null>;
  segment(scanId: string, clicks: ClickSet, watch: JobWatch): Promise<SegmentReply>;
  /** Newest wins: while one set is worked on, only the latest of those that follow is sent; null = overtaken. */
  proposeClicks(scanId: string, clicks: ClickSet): Promise<ClickHelp | null>;
  measure(
    scanId: string,
    clicks: ClickSet,
    settings: MeasureSettings,
    watch: JobWatch,
  ): Promise<MeasureReply>;
  section(scanId: string, toothA: ToothNumber, toothB: ToothNumber): Promise<SectionProfile>;
  /** Newest wins, as `proposeClicks`. */
  plan(analysis: Analysis, settings: ClosureSettings): Promise<ClosurePlan | null>;
  completePlan(
    scanId: string,
    analysis: Analysis,
    settings: ClosureSettings,
    opposingArch: Analysis | null,
    watch: JobWatch,
  ): Promise<ClosurePlan>;
  /** As with `openScan`. */
  openOpposing(
    scanId: string,
    bytes: ScanBytes,
    options: OpenOptions,
    watch: JobWatch,
  ): Promise<OpposingFacts>;
  dropOpposing(scanId: string): Promise<void>;
  layOver(earlierId: string, scanId: string, watch: JobWatch): Promise<LayOverReply>;
  writeFile(scanId: string, request: RecordRequest): Promise<RecordFile>;
  /** Case files: see `AnalysisApi`. The bytes of what is packed are transferred, those of the file stay. */
  packCase(request: PackRequest): Promise<RecordFile>;
  unpackCase(bytes: Uint8Array, passphrase: string | null): Promise<CaseContent>;
  close(scanId: string): Promise<void>;
  /** `bytes` stay with the caller here, too. */
  fit(scanId: string, file: NamedBytes, tooth: ToothNumber, watch: JobWatch): Promise<FitReply>;
  readRestoration(scanId: string, file: NamedBytes, watch: JobWatch): Promise<RestorationReply>;
  measureCrowns(request: CrownsRequest, watch: JobWatch): Promise<CrownsReply>;
  viewCrowns(crownsId: string, toothA: ToothNumber, toothB: ToothNumber): Promise<ContactView>;
  closeCrowns(crownsId: string): Promise<void>;
  writeCrowns(crownsId: string, request: CrownsFileRequest): Promise<RecordFile>;
  assessAgreement(request: AgreementRequest, watch: JobWatch): Promise<AgreementReply>;
  dispose(): void;
}

export interface ClientOptions {
  readonly spawn: () => WorkerLike;
  /** The worker died on its own. Called once per death, after all pending calls were rejected. */
  readonly onStopped: (error: ArchgapError) => void;
}

/**
 * A worker that hangs gives no error event. While calls wait for it, it is asked for a sign of life every
 * {@link BEAT_MS}, and given up after {@link MOST_MISSED_BEATS} in a row without any: half a minute more than the
 * longest stretch of work without a pause was seen to take. Beats are counted, not time, so that a computer that
 * slept does not look like a worker that hangs.
 */
const BEAT_MS = 5000;
const MOST_MISSED_BEATS = 12;

interface Connection {
  readonly worker: WorkerLike;
  readonly remote: Remote<AnalysisApi>;
  readonly pending: Set<(error: ArchgapError) => void>;
  /** Told of every message that the worker sends. */
  readonly heard: () => void;
  readonly stopWatching: () => void;
}

export function makeAnalysisClient(options: ClientOptions): AnalysisClient {
  installErrorTransfer();
  let connection: Connection | null = null;
  let disposed = false;

  function connect(): Connection {
    if (disposed) throw stoppedError('The page was closed.');
    if (connection) return connection;
    const worker = options.spawn();
    const remote = wrap<AnalysisApi>(worker as never);
    const pending: Connection['pending'] = new Set();
    const die = (reason: string, error = stoppedError(reason)) => {
      if (connection !== made) return;
      drop(made, error);
      options.onStopped(error);
    };
    const { heard, stopWatching } = watchForSigns({
      isWaiting: () => pending.size > 0,
      ask: () => void remote.ping().catch(() => {}),
      onSilence: () => die('silence', silentError()),
    });
    const made: Connection = { worker, remote, pending, heard, stopWatching };
    worker.addEventListener('message', heard);
    worker.addEventListener('error', (event) => die(messageOf(event)));
    worker.addEventListener('messageerror', () =>
      die('A message between page and calculation was unreadable.'),
    );
    connection = made;
    return made;
  }

  function drop(made: Connection, error: ArchgapError): void {
    connection = null;
    made.stopWatching();
    made.worker.terminate();
    for (const reject of made.pending) reject(error);
    made.pending.clear();
  }

  /** A call that also ends when the worker does. */
  function call<T>(ask: (remote: Remote<AnalysisApi>) => Promise<T>): Promise<T> {
    return new Promise<T>((resolve, reject) => {
      const { remote, pending } = connect();
      pending.add(reject);
      ask(remote)
        .then(resolve, reject)
        .finally(() => pending.delete(reject));
    });
  }

  /** A call with progress and cancel over a port of its own. */
  async function watched<T>(
    watch: JobWatch,
    ask: (remote: Remote<AnalysisApi>, port: MessagePort) => Promise<T>,
  ): Promise<T> {
    if (watch.signal.aborted) throw cancelledError();
    const { port1, port2 } = new MessageChannel();
    port1.onmessage = (event: MessageEvent<JobProgress>) => {
      connection?.heard();
      watch.onProgress(event.data);
    };
    const cancel = () => port1.postMessage(CANCEL_MESSAGE);
    watch.signal.addEventListener('abort', cancel);
    try {
      return await call((remote) => ask(remote, transfer(port2, [port2])));
    } finally {
      watch.signal.removeEventListener('abort', cancel);
      port1.close();
    }
  }

  const proposeClicks = newestWins((scanId: string, clicks: ClickSet) =>
    call<ClickHelp>((remote) => remote.proposeClicks(scanId, clicks)),
  );
  const plan = newestWins((analysis: Analysis, settings: ClosureSettings) =>
    call<ClosurePlan>((remote) => remote.plan(analysis, settings)),
  );

  return {
    start: () => {
      if (!disposed) connect();
    },
    openScan: (bytes, openOptions, watch) =>
      watched(watch, async (remote, port) => {
        return withoutFile(await remote.openScan(await handedOver(bytes), openOptions, port), bytes);
      }),
    readClicks: (scanId, text) => call((remote) => remote.readClicks(scanId, text)),
    draft: (scanId, clicks) => call((remote) => remote.draft(scanId, clicks)),
    segment: (scanId, clicks, watch) =>
      watched(watch, (remote, port) => remote.segment(scanId, clicks, port)),
    proposeClicks,
    measure: (scanId, clicks, settings, watch) =>
      watched(watch, (remote, port) => remote.measure(scanId, clicks, settings, port)),
    section: (scanId, toothA, toothB) => call((remote) => remote.section(scanId, toothA, toothB)),
    plan,
    completePlan: (scanId, analysis, settings, opposingArch, watch) =>
      watched(watch, (remote, port) => remote.completePlan(scanId, analysis, settings, opposingArch, port)),
    openOpposing: (scanId, bytes, openOptions, watch) =>
      watched(watch, async (remote, port) => {
        const asked = remote.openOpposing(scanId, await handedOver(bytes), openOptions, port);
        return withoutFile(await asked, bytes);
      }),
    dropOpposing: (scanId) => call((remote) => remote.dropOpposing(scanId)),
    layOver: (earlierId, scanId, watch) =>
      watched(watch, (remote, port) => remote.layOver(earlierId, scanId, port)),
    writeFile: (scanId, request) => call((remote) => remote.writeFile(scanId, request)),
    packCase: (request) => call((remote) => remote.packCase(transfer(request, buffersOf(request.content)))),
    unpackCase: (bytes, passphrase) =>
      call(async (remote) => {
        const copy = await copyInPieces(bytes);
        return remote.unpackCase(transfer(copy, [copy.buffer]), passphrase);
      }),
    close: (scanId) => call((remote) => remote.close(scanId)),
    fit: (scanId, { fileName, bytes }, tooth, watch) =>
      watched(watch, async (remote, port) => {
        const copy = await copyInPieces(bytes);
        return remote.fit(scanId, transfer({ fileName, bytes: copy }, [copy.buffer]), tooth, port);
      }),
    readRestoration: (scanId, { fileName, bytes }, watch) =>
      watched(watch, async (remote, port) => {
        const copy = await copyInPieces(bytes);
        return remote.readRestoration(scanId, transfer({ fileName, bytes: copy }, [copy.buffer]), port);
      }),
    measureCrowns: (request, watch) => watched(watch, (remote, port) => remote.measureCrowns(request, port)),
    viewCrowns: (crownsId, toothA, toothB) => call((remote) => remote.viewCrowns(crownsId, toothA, toothB)),
    closeCrowns: (crownsId) => call((remote) => remote.closeCrowns(crownsId)),
    writeCrowns: (crownsId, request) => call((remote) => remote.writeCrowns(crownsId, request)),
    assessAgreement: (request, watch) =>
      watched(watch, (remote, port) => remote.assessAgreement(request, port)),
    dispose: () => {
      disposed = true;
      if (!connection) return;
      connection.remote[releaseProxy]();
      drop(connection, stoppedError('The page was closed.'));
    },
  };
}

/** The file of a scan for the worker: the user's own while nobody has read it, else transferred. */
async function handedOver(bytes: ScanBytes): Promise<Uint8Array | Blob> {
  const all = await bytes.handOver();
  return all instanceof Uint8Array ? transfer(all, [all.buffer]) : all;
}

/** The reply alone; what the worker read of the user's file goes where it is kept. */
function withoutFile<Reply extends { readonly file: Uint8Array | null }>(
  { file, ...reply }: Reply,
  bytes: ScanBytes,
): Omit<Reply, 'file'> {
  if (file !== null) bytes.broughtBack(file);
  return reply;
}

/** Each once: the same bytes may stand in several places. */
function buffersOf({ arches }: CaseContent): Transferable[] {
  const scans = arches.flatMap((arch) => [arch, ...(arch.earlier ?? [])]);
  return [...new Set(scans.map(({ bytes }) => bytes.buffer as ArrayBuffer))];
}

/**
 * Runs one call at a time. Calls made meanwhile wait, and each new one overtakes the one that waits: that one
 * resolves to null.
 */
export function newestWins<A extends unknown[], R>(
  run: (...args: A) => Promise<R>,
): (...args: A) => Promise<R | null> {
  let running: Promise<unknown> | null = null;
  let newest = 0;
  return async (...args) => {
    newest += 1;
    const mine = newest;
    while (running) {
      await running;
      if (mine !== newest) return null;
    }
    const result = run(...args);
    const settled = result.then(
      () => {},
      () => {},
    );
    running = settled.then(() => {
      running = null;
    });
    return result;
  };
}

interface SilenceWatch {
  readonly isWaiting: () => boolean;
  /** Asks for a sign of life. */
  readonly ask: () => void;
  readonly onSilence: () => void;
}

/** Counts the beats without any sign while something is waited for. */
function watchForSigns({ isWaiting, ask, onSilence }: SilenceWatch) {
  let missed = 0;
  const timer = setInterval(() => {
    if (!isWaiting()) {
      missed = 0;
      return;
    }
    missed += 1;
    if (missed > MOST_MISSED_BEATS) onSilence();
    else ask();
  }, BEAT_MS);
  return {
    heard: () => {
      missed = 0;
    },
    stopWatching: () => clearInterval(timer),
  };
}

function silentError(): ArchgapError {
  return new ArchgapError(
    'internal',
    'WORKER_SILENT',
    'The calculation gave no sign of life for a minute and was stopped; try again, or reload the page.',
  );
}

function stoppedError(reason: string): ArchgapError {
  return new ArchgapError(
    'internal',
    'WORKER_STOPPED',
    'The calculation stopped unexpectedly; try again, or reload the page.',
    {
      details: { reason },
    },
  );
}

function messageOf(event: Event): string {
  return 'message' in event && typeof event.message === 'string' && event.message !== ''
    ? event.message
    : 'unknown';
}
