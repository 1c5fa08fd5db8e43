import { type Accessor, batch, createEffect, createSignal, on } from 'solid-js';
import type { OpenReply, ScanFacts } from '../../../workers/analysis-api.ts';
import type { CaseArch, CaseContent } from '../../casefile/types.ts';
import type { Practice } from '../../closure/practice.ts';
import type { Analysis } from '../../contacts/types.ts';
import { type ArchgapError, cancelledError, inputError } from '../../geometry/archgap-error.ts';
import type { LengthUnit } from '../../scan/types.ts';
import type { AnalysisClient } from './analysis-client.ts';
import {
  type CaseInputs,
  clickSetOf,
  emptyInputs,
  inUnit,
  withClickSet,
  withClicksPlaced,
} from './case-inputs.ts';
import type { InputsControl } from './create-inputs.ts';
import { createJob, type Job } from './create-job.ts';
import type { DisplayScan } from './display-types.ts';
import type { History } from './history.ts';
import { archOfCase, bareArch, type CaseFile, caseArchOf, type OtherArch, opposedTo } from './other-arch.ts';
import { placeInUnit } from './place-in-unit.ts';
import { sortFiles } from './sort-files.ts';

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

/** Every way in which a scan comes onto the page, and leaves it. A way that fails leaves the case as it was. */
export interface Opening {
  readonly open: Accessor<OpenCase | null>;
  /** As `open`; null while the scan is being read again because undo or redo went back to another unit. */
  readonly settled: Accessor<OpenCase | null>;
  /** The other arch of the open case: the one that opposes it, and that can be worked on in its place. */
  readonly other: Accessor<OtherArch | null>;
  readonly openJob: Job;
  /** One sentence about the case as a whole; null = nothing to say. */
  readonly notice: Accessor<string | null>;
  readonly setNotice: (sentence: string | null) => void;
  /** An encrypted case file that waits for its passphrase. */
  readonly sealed: Accessor<CaseFile | null>;
  /** Opens the file that waits; null = leave it. */
  unseal(passphrase: string | null): Promise<void>;
  /** Opens scans, click files and case files in any order; resolves to whether something was opened. */
  openFiles(files: readonly CaseFile[]): Promise<boolean>;
  openDemo(): Promise<void>;
  /** Brings back a case that lies on the device. */
  restore(id: string, content: CaseContent): Promise<void>;
  /** Reads the file again in the unit that the user names; null = let the size decide. */
  overruleUnit(unit: LengthUnit | null): Promise<void>;
  /** Puts a scan beside the open one, or takes it away. */
  setOther(file: CaseFile | null): void;
  /** The scan that was put beside the open one cannot be read. */
  refuseOther(bytes: Uint8Array): void;
  /** Works on the other arch; `analysis` is what was measured on this one. */
  showOther(analysis: Analysis | null): Promise<void>;
  /** Measures the other arch without showing it. */
  measureOther(): Promise<void>;
  readonly otherJob: Job;
  /** The open case as it is saved; null while there is none. */
  content(): CaseContent | null;
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
  /** The same arch: undo goes on. */
  readonly sameArch?: boolean;
  /** Undo and redo that come with the inputs. */
  readonly history?: History<CaseInputs>;
  /** The other arch; left out = as it is. */
  readonly other?: OtherArch | null;
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
  const [other, setOther] = createSignal<OtherArch | null>(null);
  const [notice, setNotice] = createSignal<string | null>(null);
  const [sealed, setSealed] = createSignal<CaseFile | null>(null);
  const openJob = createJob();
  const otherJob = createJob();
  let deaths: number[] = [];
  let visits = 0;
  /** What was beside the open scan before the one that is there now. */
  let formerOther: OtherArch | null = null;

  const unitOfInputs = () => control.inputs().unit ?? null;

  /** Whatever happens to a scan that is no longer shown, nobody waits for it. */
  const letGo = (scanId: string | undefined) => {
    if (scanId !== undefined) client.close(scanId).catch(() => {});
  };

  async function openScan(request: OpenRequest): Promise<boolean> {
    const { id, file, demo, unit, inputs, sameArch, history } = request;
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
      if (sameArch) control.change(() => opened.start);
      else {
        visits += 1;
        otherJob.cancel();
        if (history) control.resume(history);
        else control.reset(opened.start);
      }
      if (request.other !== undefined) setOther(request.other);
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

  async function openCaseFile(file: CaseFile, passphrase: string | null): Promise<boolean> {
    const content = await openJob.run('Opening the case file', () =>
      client.unpackCase(file.bytes, passphrase),
    );
    const state = openJob.state();
    if (state.kind === 'failed' && state.error.code === 'CASE_FILE_SEALED') {
      openJob.clear();
      setSealed(file);
    }
    if (!content) return false;
    setSealed(null);
    return openContent(newId(), content);
  }

  function openContent(id: string, { demo, arches: [first, second] }: CaseContent): Promise<boolean> {
    const { fileName, bytes, unit } = first;
    return openScan({
      id,
      file: { name: fileName, bytes },
      demo,
      unit,
      inputs: ({ facts }) => inputsOf(first, facts),
      other: second ? archOfCase(second) : null,
    });
  }

  const again = (current: OpenCase, unit: LengthUnit | null, inputs: OpenRequest['inputs']) =>
    openScan({
      id: current.id,
      file: { name: current.fileName, bytes: current.bytes },
      demo: current.demo,
      unit,
      inputs,
      sameArch: true,
    });

  /** Undo and redo may lead to clicks of another unit: the scan follows. */
  createEffect(
    on(
      unitOfInputs,
      (unit) => {
        const current = open();
        if (current && current.unit !== unit) void again(current, unit, () => control.inputs());
      },
      { defer: true },
    ),
  );
  /** What is said about the jaw of one arch is said about the other, too. */
  createEffect(
    on([() => control.inputs().jaw, other], ([jaw, beside]) => {
      if (beside) setOther(opposedTo(beside, jaw));
    }),
  );

  return {
    open,
    settled: () => {
      const current = open();
      return current && current.unit === unitOfInputs() ? current : null;
    },
    other,
    openJob,
    otherJob,
    notice,
    setNotice,
    sealed,
    async unseal(passphrase) {
      const file = sealed();
      if (passphrase === null) {
        openJob.clear();
        setSealed(null);
      } else if (file) await openCaseFile(file, passphrase);
    },
    async openFiles(files) {
      const sorted = await openJob.run('Looking at the files', async () => sortFiles(files));
      if (!sorted) return false;
      const { caseFile, clicks, scans } = sorted;
      if (caseFile) return openCaseFile(caseFile, null);
      const [first, second] = scans;
      const beside = second ? bareArch(second, practice?.()) : null;
      const request = { id: newId(), demo: false, unit: null, inputs: freshInputs, other: beside };
      if (first && !(await openScan({ ...request, file: first }))) return false;
      if (clicks && !(await openClickFile(clicks))) return false;
      return first !== undefined || clicks !== null;
    },
    async openDemo() {
      const demo = await openJob.run('Fetching the demo case', () => fetchDemo());
      if (!demo) return;
      const inputs: OpenRequest['inputs'] = async (reply) =>
        withClickSet(freshInputs(), await client.readClicks(reply.scanId, demo.clicks));
      await openScan({ id: DEMO_ID, file: demo.scan, demo: true, unit: null, inputs, other: null });
    },
    async restore(id, content) {
      await openContent(id, content);
    },
    async overruleUnit(unit) {
      const current = open();
      if (!current) return;
      await again(current, unit, ({ facts }) => ({
        ...withClicksPlaced(control.inputs(), placeInUnit(current.facts, facts)),
        unit,
      }));
    },
    setOther(file) {
      formerOther = other();
      setOther(file && bareArch(file, practice?.()));
    },
    refuseOther(bytes) {
      if (other()?.bytes === bytes) setOther(formerOther?.bytes === bytes ? null : formerOther);
    },
    async showOther(analysis) {
      const current = open();
      const next = other();
      if (!current || !next) return;
      const left = leftArch(current, control.history(), analysis);
      const { fileName, bytes, unit, history } = next;
      await openScan({
        id: current.id,
        file: { name: fileName, bytes },
        demo: current.demo,
        unit,
        inputs: () => history.present,
        history,
        other: left,
      });
    },
    async measureOther() {
      const beside = other();
      const clicks = beside && clickSetOf(beside.history.present);
      if (!beside || !clicks) return;
      const { fileName, bytes, unit } = beside;
      const analysis = await otherJob.run('Measuring the other arch', async (watch) => {
        const { scanId } = await client.openScan(bytes, { fileName, unit }, watch);
        try {
          await client.segment(scanId, clicks, watch);
          const { limitMm } = beside.history.present;
          return (await client.measure(scanId, clicks, { limitMm }, watch)).analysis;
        } finally {
          letGo(scanId);
        }
      });
      if (analysis && other() === beside) setOther({ ...beside, analysis });
    },
    content() {
      const current = open();
      if (!current) return null;
      const first = caseArchOf(leftArch(current, control.history(), null));
      const second = other();
      return { demo: current.demo, arches: second ? [first, caseArchOf(second)] : [first] };
    },
    closeCase() {
      const current = open();
      if (!current) return;
      batch(() => {
        openJob.cancel();
        otherJob.cancel();
        setOpen(null);
        setOther(null);
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
      if (await again(current, unitOfInputs(), () => control.inputs())) {
        setNotice('The calculation had stopped and was started again; nothing of the case was lost.');
      }
    },
  };
}

/** An arch as it is left when the other one is worked on, or as it is saved. */
function leftArch(
  { fileName, bytes, unit, facts }: OpenCase,
  history: History<CaseInputs>,
  analysis: Analysis | null,
): OtherArch {
  return { fileName, bytes, unit, originMm: facts.originMm, history, analysis };
}

/** What was saved about an arch, on the scan as it was read now. */
function inputsOf({ inputs, unit, originMm }: CaseArch, facts: ScanFacts): CaseInputs {
  const saved = inUnit(inputs, unit);
  if (originMm === null || originMm.every((value, k) => value === facts.originMm[k])) return saved;
  return withClicksPlaced(saved, (point) => [
    point[0] + originMm[0] - facts.originMm[0],
    point[1] + originMm[1] - facts.originMm[1],
    point[2] + originMm[2] - facts.originMm[2],
  ]);
}
