import { type Accessor, createEffect, createSignal, on } from 'solid-js';
import type { ScanFacts } from '../../../workers/analysis-api.ts';
import type { Practice } from '../../closure/practice.ts';
import type { ScannerProfile } from '../../contacts/types.ts';
import { inputError, namingFile } from '../../geometry/archgap-error.ts';
import { decodeText } from '../../geometry/decode-text.ts';
import type { Vec3 } from '../../geometry/types.ts';
import type { AnalysisClient } from './analysis-client.ts';
import { type CaseInputs, emptyInputs, inUnit, withClickSet, withClicksPlaced } from './case-inputs.ts';
import type { InputsControl } from './create-inputs.ts';
import type { OpenScan } from './create-open-scan.ts';
import { type CaseFile, type GivenFile, scanFile } from './given-file.ts';
import { type History, startHistory } from './history.ts';
import type { KeptBeside } from './kept-beside.ts';
import { historyOfSteps, type KeptSteps } from './kept-steps.ts';
import { archOfCase, bareArch, withScannerSaid } from './other-arch.ts';
import { contentKept, type KeptContent, type KeptScan } from './scan-bytes.ts';
import { sortFiles } from './sort-files.ts';

/** A case as it lies on the device: with undo and redo of its arches, in the order of the arches. */
export interface KeptCase {
  readonly content: KeptContent;
  readonly steps: readonly (KeptSteps | undefined)[];
  /** Undo and redo of putting the other arch beside the open one; left out: there are none. */
  readonly beside?: KeptBeside;
}

/** Files that come onto the page: scans, clicks, whole cases, the demo. */
export interface Files {
  /** An encrypted case file that waits for its passphrase. */
  readonly sealed: Accessor<CaseFile | null>;
  /** Opens the file that waits; null = leave it. */
  unseal(passphrase: string | null): Promise<void>;
  /** Opens scans, click files and case files in any order; resolves to whether something was opened. */
  openFiles(files: readonly GivenFile[]): Promise<boolean>;
  /** A scan that came together with its case file and waits until the case is measured. */
  readonly next: Accessor<GivenFile | null>;
  readonly setNext: (file: GivenFile | null) => void;
  openDemo(): Promise<void>;
  /** Brings back a case that lies on the device. */
  restore(id: string, kept: KeptCase): Promise<void>;
}

export interface FileSources {
  readonly client: AnalysisClient;
  readonly control: InputsControl;
  readonly scan: OpenScan;
  readonly fetchDemo: () => Promise<{ scan: CaseFile; clicks: string }>;
  readonly newId: () => string;
  /** Where every new case starts; left out: the stated defaults. */
  readonly practice: Accessor<Practice> | undefined;
  /** Terms of the scanner that new cases of this device begin with. */
  readonly ofDevice: Accessor<ScannerProfile | null>;
}

/** There is one demo case on a device; opening it again begins it anew. */
const DEMO_ID = 'demo';
/** Marks the step that took over a click file. */
export const CLICK_FILE_TAG = 'click-file';

export function createFiles(sources: FileSources): Files {
  const { client, control, scan, fetchDemo, newId, practice, ofDevice } = sources;
  const { openJob, openScan } = scan;
  const [sealed, setSealed] = createSignal<CaseFile | null>(null);
  const [next, setNext] = createSignal<GivenFile | null>(null);
  /** Came together with the case file that waits for its passphrase. */
  let nextOfSealed: GivenFile | null = null;

  /** Another scan is open: nothing waits for the one before any more. */
  createEffect(
    on(
      () => scan.open()?.visit,
      () => setNext(null),
    ),
  );

  async function openClickFile(file: CaseFile): Promise<boolean> {
    const current = scan.open();
    const set = await openJob.run('Reading the clicks', () => {
      if (!current)
        throw inputError('NO_SCAN', `${file.name} holds clicks; open the scan they belong to first.`);
      const text = decodeText(file.bytes, file.name);
      return ofFile(file, client.readClicks(current.display.scanId, text));
    });
    if (set) control.change((inputs) => withClickSet(inputs, set), CLICK_FILE_TAG);
    return set !== null;
  }

  async function openCaseFile(
    file: CaseFile,
    passphrase: string | null,
    following: GivenFile | null,
  ): Promise<boolean> {
    const content = await openJob.run('Opening the case file', () =>
      ofFile(file, client.unpackCase(file.bytes, passphrase)),
    );
    const state = openJob.state();
    if (state.kind === 'failed' && state.error.code === 'CASE_FILE_SEALED') {
      openJob.clear();
      setSealed(file);
      nextOfSealed = following;
    }
    if (!content) return false;
    setSealed(null);
    const opened = await openCase(newId(), { content: contentKept(content), steps: [] });
    if (opened) setNext(following);
    return opened;
  }

  function openCase(id: string, { content, steps, beside: kept }: KeptCase): Promise<boolean> {
    const { demo, arches } = content;
    const device = ofDevice();
    const first = withScannerSaid(arches[0], device);
    const second = arches[1] && withScannerSaid(arches[1], device);
    const { fileName, bytes, unit } = first;
    return openScan({
      id,
      file: { name: fileName, bytes },
      demo,
      unit,
      start: ({ facts }) => historyOfArch(first, steps[0], facts),
      besides: (beside) => beside.begin(second ? archOfCase(second, steps[1]) : null, kept),
      earlier: first.earlier ?? [],
    });
  }

  const freshInputs = () => emptyInputs(practice?.(), ofDevice());
  const freshStart = () => startHistory(freshInputs());

  return {
    sealed,
    next,
    setNext,
    async unseal(passphrase) {
      const file = sealed();
      if (passphrase === null) {
        openJob.clear();
        setSealed(null);
      } else if (file) await openCaseFile(file, passphrase, nextOfSealed);
    },
    async openFiles(files) {
      const sorted = await openJob.run('Looking at the files', async () => sortFiles(files));
      if (!sorted) return false;
      const { caseFile, clicks, scans } = sorted;
      const [first, second] = scans;
      if (caseFile) return openCaseFile(caseFile, null, first ?? null);
      if (first) {
        const opened = await openScan({
          id: newId(),
          file: scanFile(first),
          demo: false,
          unit: null,
          start: freshStart,
          besides: (beside) => beside.begin(second ? bareArch(scanFile(second), freshInputs()) : null),
          earlier: [],
        });
        if (!opened) return false;
      }
      if (clicks && !(await openClickFile(clicks))) return false;
      return first !== undefined || clicks !== null;
    },
    async openDemo() {
      const demo = await openJob.run('Fetching the demo case', () => fetchDemo());
      if (!demo) return;
      await openScan({
        id: DEMO_ID,
        file: scanFile(demo.scan),
        demo: true,
        unit: null,
        start: async ({ scanId }) =>
          startHistory(withClickSet(freshInputs(), await client.readClicks(scanId, demo.clicks))),
        besides: (beside) => beside.begin(null),
        earlier: [],
      });
    },
    async restore(id, kept) {
      await openCase(id, kept);
    },
  };
}

/** What was saved about an arch, on the scan as it was read now. */
export function inputsOf({ inputs, unit, originMm }: KeptScan, facts: ScanFacts): CaseInputs {
  const saved = inUnit(inputs, unit);
  if (originMm === null || isInFrame(originMm, facts)) return saved;
  return withClicksPlaced(saved, (point) => [
    point[0] + originMm[0] - facts.originMm[0],
    point[1] + originMm[1] - facts.originMm[1],
    point[2] + originMm[2] - facts.originMm[2],
  ]);
}

function historyOfArch(scan: KeptScan, steps: KeptSteps | undefined, facts: ScanFacts): History<CaseInputs> {
  const saved = inputsOf(scan, facts);
  // Saved in another frame: the clicks of earlier steps would stand beside the scan.
  const holds = scan.originMm === null || isInFrame(scan.originMm, facts);
  return steps && holds ? historyOfSteps(saved, steps) : startHistory(saved);
}

const isInFrame = (originMm: Vec3, facts: ScanFacts) =>
  originMm.every((value, k) => value === facts.originMm[k]);

/** What is read of a file; a refusal names the file. */
async function ofFile<T>({ name }: CaseFile, work: Promise<T>): Promise<T> {
  try {
    return await work;
  } catch (fault) {
    throw namingFile(fault, name);
  }
}
