import { type Accessor, batch, createSignal } from 'solid-js';
import type { OpenReply, ScanFacts } from '../../../workers/analysis-api.ts';
import type { Practice } from '../../closure/practice.ts';
import { type ArchgapError, cancelledError, inputError } from '../../geometry/archgap-error.ts';
import type { LengthUnit } from '../../scan/types.ts';
import type { AnalysisClient } from './analysis-client.ts';
import { type CaseInputs, emptyInputs, withClickSet, withClicksPlaced } from './case-inputs.ts';
import type { StoredCase } from './case-storage.ts';
import type { InputsControl } from './create-inputs.ts';
import { createJob, type Job } from './create-job.ts';
import type { DisplayScan } from './display-types.ts';
import { placeInUnit } from './place-in-unit.ts';

/** The open scan with what belongs to it. The arrays stay outside of any store. */
interface OpenCase {
  readonly id: string;
  /** Counts openings: the same after the worker died or the unit was overruled, another when opened anew. */
  readonly visit: number;
  readonly fileName: string;
  readonly demo: boolean;
  readonly unit: LengthUnit | null;
  readonly facts: ScanFacts;
  readonly display: DisplayScan;
  /** The file, so that it can be read again: after a death of the worker, or in another unit. */
  readonly bytes: Uint8Array;
}

export interface CaseFile {
  readonly name: string;
  readonly bytes: Uint8Array;
}

/** Every way in which a scan comes onto the page, and leaves it. A way that fails leaves the case as it was. */
export interface Opening {
  readonly open: Accessor<OpenCase | null>;
  readonly openJob: Job;
  /** One sentence about the case as a whole; null = nothing to say. */
  readonly notice: Accessor<string | null>;
  readonly setNotice: (sentence: string | null) => void;
  /** Opens scans and click files in any order; resolves to whether something was opened. */
  openFiles(files: readonly CaseFile[]): Promise<boolean>;
  openDemo(): Promise<void>;
  /** Brings back a case that lies on the device. */
  restore(stored: StoredCase, bytes: Uint8Array): Promise<void>;
  /** Reads the file again in the unit that the user names; null = let the size decide. */
  overruleUnit(unit: LengthUnit | null): Promise<void>;
  closeCase(): void;
  /** The worker died: opens the scan in a new one. */
  recover(error: ArchgapError): Promise<void>;
}

export interface OpeningSources {
  readonly client: AnalysisClient;
  readonly control: InputsControl;
  readonly fetchDemo: () => Promise<{ scan: CaseFile; clicks: string }>;
  readonly newId: () => string;
  readonly now: () => Date;
  /** Where every new case starts; left out: the stated defaults. */
  readonly practice?: Accessor<Practice>;
}

interface OpenRequest {
  readonly id: string;
  readonly file: CaseFile;
  readonly demo: boolean;
  readonly unit: LengthUnit | null;
  /** What the case starts with, once the scan is there. */
  readonly inputs: (reply: OpenReply) => Promise<CaseInputs> | CaseInputs;
  /** The same case: undo goes on. */
  readonly sameCase?: boolean;
}

/** Deaths of the worker within a minute after which the page stops trying by itself. */
const MOST_RECOVERIES = 2;
const RECOVERY_MEMORY_MS = 60_000;
/** There is one demo case on a device; opening it again begins it anew. */
const DEMO_ID = 'demo';
/** Marks the step that took over a click file. */
export const CLICK_FILE_TAG = 'click-file';

export function createOpening({ client, control, fetchDemo, newId, now, practice }: OpeningSources): Opening {
  const freshInputs = () => emptyInputs(practice?.());
  const [open, setOpen] = createSignal<OpenCase | null>(null);
  const [notice, setNotice] = createSignal<string | null>(null);
  const openJob = createJob();
  let deaths: number[] = [];
  let visits = 0;

  /** Whatever happens to a scan that is no longer shown, nobody waits for it. */
  const letGo = (scanId: string | undefined) => {
    if (scanId !== undefined) client.close(scanId).catch(() => {});
  };

  async function openScan({ id, file, demo, unit, inputs, sameCase }: OpenRequest): Promise<boolean> {
    const opened = await openJob.run('Reading the scan', async (watch) => {
      const reply = await client.openScan(file.bytes, { fileName: file.name, unit }, watch);
      try {
        const start = await inputs(reply);
        if (watch.signal.aborted) throw cancelledError();
        return { reply, start };
      } catch (error) {
        letGo(reply.scanId);
        throw error;
      }
    });
    if (!opened) return false;
    const { facts, ...display } = opened.reply;
    letGo(open()?.display.scanId);
    batch(() => {
      if (sameCase) control.change(() => opened.start);
      else {
        visits += 1;
        control.reset(opened.start);
      }
      setOpen({ id, visit: visits, fileName: file.name, demo, unit, facts, display, bytes: file.bytes });
      setNotice(null);
    });
    return true;
  }

  async function openClickFile(file: CaseFile): Promise<boolean> {
    const current = open();
    const set = await openJob.run('Reading the clicks', () => {
      if (!current)
        throw inputError('NO_SCAN', `${file.name} holds clicks; open the scan they belong to first.`);
      return client.readClicks(current.display.scanId, new TextDecoder().decode(file.bytes));
    });
    if (set) control.change((inputs) => withClickSet(inputs, set), CLICK_FILE_TAG);
    return set !== null;
  }

  const again = (current: OpenCase, unit: LengthUnit | null, inputs: OpenRequest['inputs']) =>
    openScan({
      id: current.id,
      file: { name: current.fileName, bytes: current.bytes },
      demo: current.demo,
      unit,
      inputs,
      sameCase: true,
    });

  return {
    open,
    openJob,
    notice,
    setNotice,
    async openFiles(files) {
      const isClickFile = (file: CaseFile) => /\.json$/i.test(file.name);
      const scan = files.find((file) => !isClickFile(file));
      const clicks = files.find(isClickFile);
      const inputs = freshInputs;
      if (scan && !(await openScan({ id: newId(), file: scan, demo: false, unit: null, inputs })))
        return false;
      if (clicks && !(await openClickFile(clicks))) return false;
      return scan !== undefined || clicks !== undefined;
    },
    async openDemo() {
      const demo = await openJob.run('Fetching the demo case', () => fetchDemo());
      if (!demo) return;
      const inputs: OpenRequest['inputs'] = async (reply) =>
        withClickSet(freshInputs(), await client.readClicks(reply.scanId, demo.clicks));
      await openScan({ id: DEMO_ID, file: demo.scan, demo: true, unit: null, inputs });
    },
    async restore(stored, bytes) {
      const { id, demo, unit, inputs } = stored;
      await openScan({ id, file: { name: stored.fileName, bytes }, demo, unit, inputs: () => inputs });
    },
    async overruleUnit(unit) {
      const current = open();
      if (!current) return;
      await again(current, unit, ({ facts }) =>
        withClicksPlaced(control.inputs(), placeInUnit(current.facts, facts)),
      );
    },
    closeCase() {
      const current = open();
      if (!current) return;
      batch(() => {
        openJob.cancel();
        setOpen(null);
        control.reset();
      });
      letGo(current.display.scanId);
    },
    async recover(error) {
      const current = open();
      const time = now().getTime();
      deaths = [...deaths.filter((death) => time - death < RECOVERY_MEMORY_MS), time];
      if (!current || deaths.length > MOST_RECOVERIES) {
        setNotice(`${error.message} Your clicks and settings are safe on this device.`);
        return;
      }
      setNotice('The calculation stopped unexpectedly and was started again; the scan is being read anew.');
      if (await again(current, current.unit, () => control.inputs())) {
        setNotice('The calculation had stopped and was started again; nothing of the case was lost.');
      }
    },
  };
}
