import { type Accessor, batch, createEffect, createSignal, on } from 'solid-js';
import type { OpenReply, ScanFacts } from '../../../workers/analysis-api.ts';
import { cancelledError } from '../../geometry/archgap-error.ts';
import type { LengthUnit } from '../../scan/types.ts';
import type { AnalysisClient, JobWatch } from './analysis-client.ts';
import type { CaseInputs } from './case-inputs.ts';
import type { Beside } from './create-beside.ts';
import type { InputsControl } from './create-inputs.ts';
import { createJob, type Job } from './create-job.ts';
import type { DisplayScan } from './display-types.ts';
import type { ScanFile } from './given-file.ts';
import type { History } from './history.ts';
import { ofJaw } from './other-arch.ts';
import type { KeptScan, ScanBytes } from './scan-bytes.ts';

/** The open scan with what belongs to it. The arrays stay outside of any store. */
export interface OpenCase {
  readonly id: string;
  /** Counts openings: the same after the worker died or the unit was overruled, another when opened anew. */
  readonly visit: number;
  readonly fileName: string;
  readonly demo: boolean;
  readonly unit: LengthUnit | null;
  readonly facts: ScanFacts;
  readonly display: DisplayScan;
  /** The file, so that it can be read again: after a death of the worker, or in another unit. */
  readonly bytes: ScanBytes;
}

export interface OpenRequest {
  readonly id: string;
  readonly file: ScanFile;
  readonly demo: boolean;
  readonly unit: LengthUnit | null;
  /** What the arch starts with, once the scan is there, and what of it can be undone. */
  readonly start: (reply: OpenReply, watch: JobWatch) => Promise<History<CaseInputs>> | History<CaseInputs>;
  /** Tells of the other arch once the scan is there. */
  readonly besides?: (beside: Beside) => void;
  /** Scans of the arch before this one, oldest first. */
  readonly earlier: readonly KeptScan[];
  /** The open scan as it is when it is left, to be the newest of the earlier ones; left out: it becomes none of them. */
  readonly leaving?: () => KeptScan;
  /** The worker keeps the scan that was open. */
  readonly keepFormer?: boolean;
}

/** One scan at a time, read by the worker and shown. A reading that fails leaves what is shown as it was. */
export interface OpenScan {
  readonly open: Accessor<OpenCase | null>;
  /** As `open`; null while the scan is being read again because undo or redo went back to another unit. */
  readonly settled: Accessor<OpenCase | null>;
  /** Scans of the arch worked on before the open one, oldest first. */
  readonly earlier: Accessor<readonly KeptScan[]>;
  readonly openJob: Job;
  /** Shows a scan in place of the one that is shown; resolves to whether it could be read. */
  openScan(request: OpenRequest): Promise<boolean>;
  /** Reads the scan that is shown again; undo goes on. */
  openAgain(unit: LengthUnit | null, inputs: (reply: OpenReply) => CaseInputs): Promise<boolean>;
  closeCase(): void;
}

export interface OpenScanSources {
  readonly client: AnalysisClient;
  readonly control: InputsControl;
  readonly beside: Beside;
  /** A scan is there: what was said about the case before is over. */
  readonly onOpened: () => void;
}

export function createOpenScan({ client, control, beside, onOpened }: OpenScanSources): OpenScan {
  const [open, setOpen] = createSignal<OpenCase | null>(null);
  const [earlier, setEarlier] = createSignal<readonly KeptScan[]>([]);
  const openJob = createJob();
  let visits = 0;
  const unitOfInputs = () => control.inputs().unit ?? null;

  /** Whatever happens to a scan that is no longer shown, nobody waits for it. */
  const letGo = (scanId: string | undefined) => {
    if (scanId !== undefined) client.close(scanId).catch(() => {});
  };

  async function read<T>(
    { file, unit }: Pick<OpenRequest, 'file' | 'unit'>,
    start: (reply: OpenReply, watch: JobWatch) => Promise<T> | T,
  ): Promise<{ reply: OpenReply; begun: T } | null> {
    return openJob.run('Reading the scan', async (watch) => {
      const reply = await client.openScan(file.bytes, { fileName: file.name, unit }, watch);
      try {
        const begun = await start(reply, watch);
        if (watch.signal.aborted) throw cancelledError();
        return { reply, begun };
      } catch (error) {
        letGo(reply.scanId);
        throw error;
      }
    });
  }

  function show(
    { id, file, demo, unit, keepFormer }: Omit<OpenRequest, 'start' | 'besides' | 'earlier' | 'leaving'>,
    { facts, ...display }: OpenReply,
  ) {
    if (!keepFormer) letGo(open()?.display.scanId);
    setOpen({ id, visit: visits, fileName: file.name, demo, unit, facts, display, bytes: file.bytes });
    onOpened();
  }

  async function openAgain(unit: LengthUnit | null, inputs: (reply: OpenReply) => CaseInputs) {
    const current = open();
    if (!current) return false;
    const { id, demo, fileName, bytes } = current;
    const request = { id, demo, unit, file: { name: fileName, bytes } };
    const done = await read(request, inputs);
    if (!done) return false;
    batch(() => {
      control.change(() => done.begun);
      show(request, done.reply);
    });
    return true;
  }

  /** Undo and redo may lead to clicks of another unit: the scan follows. */
  createEffect(
    on(
      unitOfInputs,
      (unit) => {
        const current = open();
        if (current && current.unit !== unit) void openAgain(unit, control.inputs);
      },
      { defer: true },
    ),
  );

  /** What is said about the jaw of a scan holds for those before it, too. */
  createEffect(
    on([() => control.inputs().jaw, earlier], ([jaw, scans]) => {
      if (jaw !== null && scans.some(({ inputs }) => inputs.jaw !== jaw))
        setEarlier(scans.map((scan) => ofJaw(scan, jaw)));
    }),
  );

  return {
    open,
    earlier,
    settled: () => {
      const current = open();
      return current && current.unit === unitOfInputs() ? current : null;
    },
    openJob,
    async openScan({ start, besides, earlier: before, leaving, ...request }) {
      const done = await read(request, start);
      if (!done) return false;
      batch(() => {
        visits += 1;
        beside.otherJob.cancel();
        const scans = leaving ? [...before, leaving()] : before;
        control.resume(done.begun);
        besides?.(beside);
        setEarlier(scans);
        show(request, done.reply);
      });
      return true;
    },
    openAgain,
    closeCase() {
      const current = open();
      if (!current) return;
      batch(() => {
        openJob.cancel();
        beside.otherJob.cancel();
        setOpen(null);
        setEarlier([]);
        beside.begin(null);
        control.reset();
      });
      letGo(current.display.scanId);
    },
  };
}
