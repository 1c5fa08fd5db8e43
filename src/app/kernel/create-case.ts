import { type Accessor, batch, createSignal } from 'solid-js';
import type { OpenReply, RecordFile, RecordFileKind, ScanFacts } from '../../../workers/analysis-api.ts';
import { type ArchgapError, inputError } from '../../geometry/archgap-error.ts';
import type { Vec3 } from '../../geometry/types.ts';
import type { LengthUnit } from '../../scan/types.ts';
import type { Click, NumberingScheme } from '../../teeth/types.ts';
import type { AnalysisClient } from './analysis-client.ts';
import {
  type CaseInputs,
  clickSetOf,
  emptyInputs,
  withClick,
  withClickMoved,
  withClickSet,
  withClicksPlaced,
} from './case-inputs.ts';
import type { StoredCase } from './case-storage.ts';
import { createInputs, type InputsControl } from './create-inputs.ts';
import { createJob, type Job } from './create-job.ts';
import { createResults, type Results } from './create-results.ts';
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

export interface CaseController extends InputsControl {
  readonly open: Accessor<OpenCase | null>;
  readonly results: Results;
  readonly openJob: Job;
  readonly recordJob: Job;
  /** One sentence about something that went wrong outside of any section; null = nothing to say. */
  readonly notice: Accessor<string | null>;
  readonly setNotice: (sentence: string | null) => void;
  /** The sentence about a click that was refused; gone with the next change. */
  readonly refusal: Accessor<string | null>;
  /** Adds a click, or moves one: as `change`, but taken back when the teeth cannot be told apart with it. */
  addClick(click: Click): void;
  moveClick(index: number, point: Vec3): void;
  /** Opens scans and click files in any order; resolves to whether something was opened. */
  openFiles(files: readonly CaseFile[]): Promise<boolean>;
  openDemo(): Promise<void>;
  /** Brings back a case that lies on the device. */
  restore(stored: StoredCase, bytes: Uint8Array): Promise<void>;
  /** Reads the file again in the unit that the user names; null = let the size decide. */
  overruleUnit(unit: LengthUnit | null): Promise<void>;
  closeCase(): void;
  writeFile(kind: RecordFileKind): Promise<RecordFile | null>;
  /** The worker died: opens the scan in a new one. */
  recover(error: ArchgapError): Promise<void>;
}

export interface CaseSources {
  readonly client: AnalysisClient;
  readonly fetchDemo: () => Promise<{ scan: CaseFile; clicks: string }>;
  readonly newId: () => string;
  readonly numbering: Accessor<NumberingScheme>;
  readonly version: string;
  readonly now: () => Date;
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
/** Marks a step that the segmentation may refuse. */
const CLICK_TAG = 'click:';
/** There is one demo case on a device; opening it again begins it anew. */
const DEMO_ID = 'demo';
/** Marks the step that took over a click file. */
export const CLICK_FILE_TAG = 'click-file';

export function createCase({
  client,
  fetchDemo,
  newId,
  numbering,
  version,
  now,
}: CaseSources): CaseController {
  const inputsControl = createInputs();
  const [refusal, setRefusal] = createSignal<string | null>(null);
  /** Whatever is done next, the sentence about the refused click has been read. */
  const afresh =
    <A extends unknown[]>(act: (...args: A) => void) =>
    (...args: A) =>
      batch(() => {
        setRefusal(null);
        act(...args);
      });
  const control: InputsControl = {
    ...inputsControl,
    change: afresh(inputsControl.change),
    undo: afresh(inputsControl.undo),
    redo: afresh(inputsControl.redo),
    reset: afresh(inputsControl.reset),
  };
  const [open, setOpen] = createSignal<OpenCase | null>(null);
  const [notice, setNotice] = createSignal<string | null>(null);
  const openJob = createJob();
  const recordJob = createJob();
  let deaths: number[] = [];
  let clicksMade = 0;
  let visits = 0;

  const results = createResults({
    client,
    scanId: () => open()?.display.scanId ?? null,
    inputs: control.inputs,
    numbering,
    onRefused: (inputs, error) => {
      if (error.kind !== 'input' || !control.lastTag()?.startsWith(CLICK_TAG)) return;
      batch(() => {
        control.refuse(inputs);
        setRefusal(error.message);
      });
    },
  });

  async function openScan({ id, file, demo, unit, inputs, sameCase }: OpenRequest): Promise<boolean> {
    const opened = await openJob.run('Reading the scan', async (watch) => {
      const reply = await client.openScan(file.bytes, { fileName: file.name, unit }, watch);
      return { reply, start: await inputs(reply) };
    });
    if (!opened) return false;
    const { facts, ...display } = opened.reply;
    batch(() => {
      if (sameCase) control.change(() => opened.start);
      else {
        visits += 1;
        control.reset(opened.start);
        results.select(null);
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

  const clickTag = () => {
    clicksMade += 1;
    return `${CLICK_TAG}${clicksMade}`;
  };

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
    ...control,
    open,
    results,
    openJob,
    recordJob,
    notice,
    setNotice,
    refusal,
    addClick: (click) => control.change((inputs) => withClick(inputs, click), clickTag()),
    moveClick: (index, point) => control.change((inputs) => withClickMoved(inputs, index, point), clickTag()),
    async openFiles(files) {
      const isClickFile = (file: CaseFile) => /\.json$/i.test(file.name);
      const scan = files.find((file) => !isClickFile(file));
      const clicks = files.find(isClickFile);
      const inputs = () => emptyInputs();
      if (scan && !(await openScan({ id: newId(), file: scan, demo: false, unit: null, inputs })))
        return false;
      if (clicks && !(await openClickFile(clicks))) return false;
      return scan !== undefined || clicks !== undefined;
    },
    async openDemo() {
      const demo = await openJob.run('Fetching the demo case', () => fetchDemo());
      if (!demo) return;
      const inputs: OpenRequest['inputs'] = async (reply) =>
        withClickSet(emptyInputs(), await client.readClicks(reply.scanId, demo.clicks));
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
        results.select(null);
      });
      void client.close(current.display.scanId).catch(() => {});
    },
    writeFile(kind) {
      const current = open();
      const analysis = results.analysis();
      const clicks = clickSetOf(control.inputs());
      if (!current || !analysis || !clicks) return Promise.resolve(null);
      const plan = results.plan();
      const createdAt = now().toISOString();
      return recordJob.run('Writing', () =>
        client.writeFile(current.display.scanId, {
          kind,
          clicks,
          analysis,
          plan,
          numbering: numbering(),
          version,
          createdAt,
        }),
      );
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
