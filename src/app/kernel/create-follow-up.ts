import { type Accessor, batch, createEffect, createMemo, createSignal, on, untrack } from 'solid-js';
import type { ComparisonRecord } from '../../../workers/analysis-api.ts';
import { clickedOnceWarnings } from '../../contacts/clicked-once.ts';
import { compareContacts } from '../../contacts/compare-contacts.ts';
import { alignmentWarnings, scannerWarnings } from '../../contacts/follow-up.ts';
import { numberedOtherwiseWarnings } from '../../contacts/numbered-otherwise.ts';
import type { Analysis, ScannerProfile } from '../../contacts/types.ts';
import { ArchgapError, inputError } from '../../geometry/archgap-error.ts';
import { plannedOutcome } from '../../report/planned-outcome.ts';
import type { PlannedOutcome } from '../../report/read-plan-json.ts';
import { type NamedScan, scanDays, scanNames } from '../../report/scan-names.ts';
import { scanWarnings } from '../../scan/scan-warnings.ts';
import type { ArchAlignment } from '../../teeth/align-arch.ts';
import type { ClickSet, NumberingScheme } from '../../teeth/types.ts';
import type { AnalysisClient, JobWatch } from './analysis-client.ts';
import { type CaseInputs, clickSetOf, closureSettingsOf, inUnit } from './case-inputs.ts';
import { inputsOf } from './create-files.ts';
import type { InputsControl } from './create-inputs.ts';
import { createJob, type Job } from './create-job.ts';
import type { Opening } from './create-opening.ts';
import type { Results } from './create-results.ts';
import type { DisplayScan, EarlierOverlay } from './display-types.ts';
import { type GivenFile, scanFile } from './given-file.ts';
import { startHistory } from './history.ts';
import type { KeptScan, ScanBytes } from './scan-bytes.ts';

/** Where the clicks of the next scan come from. */
type ClickSource = 'carried' | 'by-hand';

/** The open scan held against an earlier one. */
interface Comparison extends ComparisonRecord {
  readonly scan: KeptScan;
  /** The earlier scan as it is drawn; in its own frame. */
  readonly display: DisplayScan;
  readonly labels: Uint8Array;
}

/** One scan of the arch in the course of the treatment. */
export interface HistoryEntry {
  /** Its day, or the name by which it is told from the others. */
  readonly label: string;
  /** Null while the scan is not measured, or cannot be. */
  readonly analysis: Analysis | null;
}

/** The scans of the arch that came before the open one: what was measured on them, and what has changed since. */
export interface FollowUpControl {
  /** The teeth are measured, so that a next scan can take over their numbers. */
  readonly canAdd: Accessor<boolean>;
  /** Makes `file` the scan worked on, with the clicks of the present one unless they are to be made by hand. */
  addNext(file: GivenFile, clicks?: ClickSource): Promise<void>;
  /** A next scan that does not lie over the open one, and why. */
  readonly refused: Accessor<{ readonly file: GivenFile; readonly error: ArchgapError } | null>;
  readonly dismissRefusal: () => void;
  /** Place among the earlier scans of the one that is compared with. */
  readonly against: Accessor<number>;
  readonly setAgainst: (place: number) => void;
  readonly comparison: Accessor<Comparison | null>;
  /** How much of the earlier scan is drawn over the new one, 0 to 1. */
  readonly fade: Accessor<number>;
  readonly setFade: (share: number) => void;
  /** The earlier scan as it is drawn, where the alignment puts it; null while it is not seen. */
  readonly overlay: Accessor<EarlierOverlay | null>;
  /** Measures the earlier scans and lays the one compared with over the open one. */
  readonly job: Job;
  /** Nothing runs, and the comparison is not there: it was stopped or failed. */
  readonly isStopped: Accessor<boolean>;
  readonly tryAgain: () => void;
  /** Names of all scans of the arch, oldest first, by which they can be told apart; the last is the open one. */
  readonly names: Accessor<readonly string[]>;
  /** All scans of the arch, oldest first. */
  readonly history: Accessor<readonly HistoryEntry[]>;
  /** The worker died: what it held has to be read again. */
  readonly forget: () => void;
}

export interface FollowUpSources {
  readonly client: AnalysisClient;
  readonly opening: Opening;
  readonly control: Pick<InputsControl, 'inputs' | 'change'>;
  readonly results: Results;
  readonly numbering: Accessor<NumberingScheme>;
  readonly scanner: Accessor<ScannerProfile | null>;
}

/** An earlier scan that is open in the worker and measured. */
interface Measured {
  readonly inputs: KeptScan['inputs'];
  readonly display: DisplayScan;
  readonly labels: Uint8Array;
  readonly analysis: Analysis;
  readonly plan: PlannedOutcome | null;
}

/** Whether two inputs make the same contacts out of one scan, and the same plan of them. */
function isMeasuredAlike(a: CaseInputs, b: CaseInputs): boolean {
  const bears = (inputs: CaseInputs) =>
    JSON.stringify([
      clickSetOf(inputs),
      inputs.scanner,
      inputs.scannerTakenOver,
      inputs.limitMm,
      inputs.closure,
      // A space found with floss counts as open in a plan.
      inputs.floss,
    ]);
  return bears(a) === bears(b);
}

/** Two scans laid over each other, or why not. */
interface Laid {
  readonly earlierId: string;
  readonly scanId: string;
  readonly alignment: ArchAlignment | null;
  readonly refusal: ArchgapError | null;
}

export function createFollowUp(sources: FollowUpSources): FollowUpControl {
  const { client, opening, control, results, numbering, scanner } = sources;
  const [known, setKnown] = createSignal<ReadonlyMap<ScanBytes, Measured>>(new Map());
  const [laid, setLaid] = createSignal<Laid | null>(null);
  const [refused, setRefused] = createSignal<{ file: GivenFile; error: ArchgapError } | null>(null);
  const [chosen, setAgainst] = createSignal<number | null>(null);
  /** A next scan is on its way: what is known of the present one is about to be handed over. */
  const [adding, setAdding] = createSignal(false);
  const [fade, setFade] = createSignal(0);
  const job = createJob();

  const against = () => Math.min(chosen() ?? Number.POSITIVE_INFINITY, opening.earlier().length - 1);
  const scanAgainst = createMemo(() => opening.earlier()[against()] ?? null);
  const scanId = createMemo(() => opening.settled()?.display.scanId ?? null);
  const measuredOf = (scan: KeptScan) => {
    const found = known().get(scan.bytes);
    return found?.inputs === scan.inputs ? found : null;
  };
  const canAdd = createMemo(
    () =>
      opening.settled() !== null &&
      results.analysis() !== null &&
      !results.analysisIsOld() &&
      !results.measureIsDue(),
  );

  /** Opens and measures an earlier scan as it was clicked then. */
  async function measure(scan: KeptScan, watch: JobWatch): Promise<Measured> {
    const { fileName, bytes, unit } = scan;
    const { facts, ...display } = await client.openScan(bytes, { fileName, unit }, watch);
    try {
      const inputs = inputsOf(scan, facts);
      const clicks = clickSetOf(inputs);
      if (clicks === null)
        throw inputError('EARLIER_NOT_CLICKED', `No tooth is clicked on the earlier scan ${fileName}.`);
      const { labels } = await client.segment(display.scanId, clicks, watch);
      // The terms that were kept with that scan; the same numbers come out again.
      const { scanner: profile = null, scannerTakenOver } = scan.inputs;
      const settings = {
        limitMm: inputs.limitMm,
        ...(profile === null ? {} : { scanner: profile, ...(scannerTakenOver && { scannerTakenOver }) }),
      };
      const { analysis } = await client.measure(display.scanId, clicks, settings, watch);
      // Complete, as the plan was when it was proposed: what a first plan expects differs by hundredths of a millimetre.
      const closure = closureSettingsOf(inputs, numbering());
      const plan = await client.completePlan(display.scanId, analysis, closure, null, watch);
      return { inputs: scan.inputs, display, labels, analysis, plan: plannedOutcome(plan, analysis) };
    } catch (error) {
      client.close(display.scanId).catch(() => {});
      throw error;
    }
  }

  async function prepare(): Promise<void> {
    await job.run('Measuring the earlier scan', async (watch) => {
      const first = scanAgainst();
      const others = opening.earlier().filter((scan) => scan !== first);
      for (const scan of first ? [first, ...others.reverse()] : []) {
        if (measuredOf(scan) === null) {
          const measured = await measure(scan, watch);
          if (watch.signal.aborted) return null;
          setKnown((all) => new Map(all).set(scan.bytes, measured));
        }
        const current = scanId();
        const earlierId = measuredOf(scan)?.display.scanId;
        if (scan !== first || current === null || earlierId === undefined) continue;
        if (laid()?.earlierId === earlierId && laid()?.scanId === current) continue;
        setLaid(await layOver(earlierId, current, watch));
      }
      return null;
    });
  }

  async function layOver(earlierId: string, current: string, watch: JobWatch): Promise<Laid> {
    try {
      const { alignment } = await client.layOver(earlierId, current, watch);
      return { earlierId, scanId: current, alignment, refusal: null };
    } catch (fault) {
      if (!(fault instanceof ArchgapError) || fault.kind !== 'input') throw fault;
      // The numbers still say which contact is which; nothing vouches for the patient, and that is said.
      return { earlierId, scanId: current, alignment: null, refusal: fault };
    }
  }

  /** The open scan comes first: the earlier ones are measured once it is. */
  createEffect(
    on(
      [scanId, opening.earlier, scanAgainst, () => results.analysis() !== null, adding],
      ([scan, , first, ready, waits]) => {
        job.cancel();
        if (scan !== null && first !== null && ready && !waits) void untrack(prepare);
      },
    ),
  );
  /** The worker lets go of scans that are no longer of the case. */
  createEffect(
    on([opening.earlier, opening.open], ([scans]) => {
      const gone = [...known()].filter(([bytes]) => !scans.some((scan) => scan.bytes === bytes));
      if (gone.length === 0) return;
      for (const [, { display }] of gone) client.close(display.scanId).catch(() => {});
      setKnown((all) => new Map([...all].filter(([bytes]) => !gone.some(([other]) => other === bytes))));
    }),
  );
  createEffect(
    on(
      createMemo(() => opening.open()?.visit),
      () =>
        batch(() => {
          setAgainst(null);
          setFade(0);
          setRefused(null);
        }),
    ),
  );
  /** A scan that came together with its case file. */
  createEffect(
    on([canAdd, opening.next], ([ready, file]) => {
      if (ready && file) void untrack(() => addNext(file));
    }),
  );

  async function addNext(file: GivenFile, clicks: ClickSource = 'carried'): Promise<void> {
    const before = opening.open();
    const analysis = results.analysis();
    const labels = results.segmentation()?.labels;
    if (!before || !analysis || !labels || !canAdd()) return;
    // Of a plan that was not made anew yet since a change, nothing holds.
    let plan = results.planIsOld() || !results.planIsComplete() ? null : results.plan();
    const asked = control.inputs();
    const closure = closureSettingsOf(asked, numbering());
    opening.setNext(null);
    setRefused(null);
    let over: Laid | null = null;
    setAdding(true);
    const former = await opening.openNext(scanFile(file), async (reply, watch) => {
      if (reply.facts.source.sha256 === before.facts.source.sha256)
        throw inputError(
          'SAME_SCAN',
          `${file.name} is the scan that is open, byte for byte; choose the scan that was made after it.`,
        );
      plan ??= await client.completePlan(before.display.scanId, analysis, closure, null, watch);
      if (clicks === 'by-hand') return startHistory(nextInputs(control.inputs(), null, scanner()));
      watch.onProgress({ fraction: 0.5, stage: 'Laying the scans over each other' });
      const { display } = before;
      const found = await client.layOver(display.scanId, reply.scanId, watch);
      const { alignment } = found;
      over = { earlierId: display.scanId, scanId: reply.scanId, alignment, refusal: null };
      const said = control.inputs();
      // The carried teeth bear the numbers that they had when the scan was asked for.
      const { fixed } = said.clicks === asked.clicks ? said : asked;
      return startHistory(nextInputs(said, { ...found.clicks, fixed }, scanner()));
    });
    const state = opening.openJob.state();
    if (former === null) {
      setAdding(false);
      if (state.kind === 'failed' && opening.open() === before) {
        setRefused({ file, error: state.error });
        opening.openJob.clear();
      }
      return;
    }
    const scan = opening.earlier().at(-1);
    batch(() => {
      setAdding(false);
      // What was clicked or chosen while the next scan was read is measured anew.
      if (!scan || !isMeasuredAlike(asked, inputsOf(scan, former.facts))) {
        client.close(former.display.scanId).catch(() => {});
        return;
      }
      setKnown((all) =>
        new Map(all).set(scan.bytes, {
          inputs: scan.inputs,
          display: former.display,
          labels,
          analysis,
          plan: plan && plannedOutcome(plan, analysis),
        }),
      );
      setLaid(over);
    });
  }

  const comparison = createMemo((): Comparison | null => {
    const now = results.analysis();
    const scan = scanAgainst();
    const earlier = scan && measuredOf(scan);
    const lay = laid();
    if (!now || results.analysisIsOld() || !scan || !earlier || !lay) return null;
    const { display, labels, analysis, plan } = earlier;
    if (lay.earlierId !== display.scanId || lay.scanId !== scanId() || analysis.jaw !== now.jaw) return null;
    const { alignment, refusal } = lay;
    const isStated = now.settings.scannerTakenOver !== true;
    return {
      scan,
      display,
      labels,
      earlier: analysis,
      plan,
      alignment,
      changes: compareContacts(analysis, now, plan?.planned ?? [], alignment, isStated),
      names: [names()[against()] ?? scan.fileName, names().at(-1) ?? scan.fileName],
      warnings: [
        ...scanWarnings(analysis.health, 'Earlier scan'),
        ...scanWarnings(now.health, 'New scan'),
        ...(refusal ? [{ code: refusal.code, sentence: refusal.message }] : []),
        ...(alignment ? alignmentWarnings(alignment) : []),
        ...numberedOtherwiseWarnings(analysis, now, alignment),
        ...clickedOnceWarnings(analysis, now, alignment),
        ...scannerWarnings(now.settings, isStated),
      ],
    };
  });

  const scans = createMemo((): readonly NamedScan[] => {
    const current = opening.open();
    const named = (fileName: string, { scannedOn = null }: KeptScan['inputs']) => ({ fileName, scannedOn });
    const earlier = opening.earlier().map(({ fileName, inputs }) => named(fileName, inputs));
    return current ? [...earlier, named(current.fileName, control.inputs())] : earlier;
  });
  const names = createMemo(() => scanNames(scans()));
  const history = createMemo((): readonly HistoryEntry[] => {
    const now = results.analysisIsOld() ? null : results.analysis();
    const earlier = opening.earlier();
    return scanDays(scans()).map((label, place) => {
      const scan = earlier[place];
      return { label, analysis: scan ? (measuredOf(scan)?.analysis ?? null) : now };
    });
  });

  return {
    canAdd,
    addNext,
    refused,
    dismissRefusal: () => setRefused(null),
    against,
    setAgainst,
    comparison,
    fade,
    setFade,
    overlay: createMemo(() => {
      const found = comparison();
      const share = fade();
      if (!found?.alignment || share === 0) return null;
      return { display: found.display, motion: found.alignment.motion, share };
    }),
    job,
    isStopped: () =>
      scanAgainst() !== null && canAdd() && comparison() === null && job.state().kind !== 'running',
    tryAgain: () => void prepare(),
    names,
    history,
    forget: () =>
      batch(() => {
        setKnown(new Map());
        setLaid(null);
      }),
  };
}

/** What a next scan starts with: what holds for the patient stays, what was said of the earlier scan does not. */
function nextInputs(
  inputs: CaseInputs,
  carried: ClickSet | null,
  scanner: ScannerProfile | null,
): CaseInputs {
  const { unit: _, scannerTakenOver: ___, restoration: ____, ...before } = inputs;
  const { targets: __, ...closure } = before.closure;
  return {
    ...inUnit(before, null),
    closure,
    clicks: carried?.clicks ?? [],
    missing: carried?.missing ?? before.missing,
    fixed: carried?.fixed.filter((tooth) => carried.clicks.some((click) => click.tooth === tooth)) ?? [],
    floss: [],
    note: null,
    scannedOn: null,
    // Also where the case does not say it, and the terms of this device were used.
    ...(scanner ? { scanner, scannerTakenOver: true } : {}),
  };
}
