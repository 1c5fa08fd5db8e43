import {
  type Accessor,
  batch,
  createEffect,
  createMemo,
  createSignal,
  on,
  onCleanup,
  untrack,
} from 'solid-js';
import type { MeasureReply, OpposingFacts, SegmentReply } from '../../../workers/analysis-api.ts';
import type { ClosurePlan, ClosureSettings } from '../../closure/types.ts';
import { withLimit } from '../../contacts/decide.ts';
import type { Analysis, Contact, ScannerProfile, SectionProfile } from '../../contacts/types.ts';
import type { ArchgapError } from '../../geometry/archgap-error.ts';
import type { LengthUnit } from '../../scan/types.ts';
import type { ClickSet, NumberingScheme } from '../../teeth/types.ts';
import type { AnalysisClient } from './analysis-client.ts';
import { type CaseInputs, clickSetOf, closureSettingsOf } from './case-inputs.ts';
import { createJob, type Job } from './create-job.ts';
import { type ContactKey, contactKey } from './display-types.ts';

/** Rest after the last change of the labels before the contacts are measured, ms: clicks come in quick runs. */
const MEASURE_REST_MS = 350;
/** Rest before a plan, ms: a slider that is dragged asks for many. */
const PLAN_REST_MS = 150;

/** All that follows from scan and inputs, kept up to date by itself: teeth, contacts, plan, section. */
export interface Results {
  readonly segmentation: Accessor<SegmentReply | null>;
  /** Decided with the limit of the moment. */
  readonly analysis: Accessor<Analysis | null>;
  /** The analysis shown belongs to an earlier set of clicks; a new one is on the way or was cancelled. */
  readonly analysisIsOld: Accessor<boolean>;
  /** Measuring is on its way or about to begin. */
  readonly measureIsDue: Accessor<boolean>;
  /** The teeth are known, but their contacts are not measured and nothing is on its way: it was stopped or failed. */
  readonly measureIsStopped: Accessor<boolean>;
  readonly plan: Accessor<ClosurePlan | null>;
  /** The plan shown is also worked out with other inputs, on the moved crowns, and against the opposing arch. */
  readonly planIsComplete: Accessor<boolean>;
  /** The scan of the opposing arch, while it is kept beside this one. */
  readonly opposing: Accessor<OpposingFacts | null>;
  /** The plan shown was made for another analysis or other settings; a new one is on the way. */
  readonly planIsOld: Accessor<boolean>;
  readonly selected: Accessor<ContactKey | null>;
  readonly select: (key: ContactKey | null) => void;
  readonly selectedContact: Accessor<Contact | null>;
  readonly section: Accessor<SectionProfile | null>;
  /** Measures now, e.g. after a cancel; tells the teeth apart first where that failed. */
  readonly measureAgain: () => void;
  readonly jobs: {
    readonly segment: Job;
    readonly measure: Job;
    readonly plan: Job;
    readonly check: Job;
    readonly opposing: Job;
    readonly section: Job;
  };
}

/** An analysis with what it was made from. */
interface Measured extends MeasureReply {
  readonly clicks: ClickSet;
  readonly profile: ScannerProfile | null;
}

/** A plan with what it was made for. */
interface Planned {
  readonly plan: ClosurePlan;
  readonly analysis: Analysis;
  readonly settings: ClosureSettings;
  readonly complete: boolean;
}

/** The scan of the opposing arch; kept by the page, so that a new worker gets it again. */
interface OpposingFile {
  readonly fileName: string;
  readonly bytes: Uint8Array;
  readonly unit: LengthUnit | null;
  /** What was measured on it, if it was and still holds. */
  readonly analysis: Analysis | null;
}

export interface ResultSources {
  readonly client: AnalysisClient;
  readonly open: Accessor<{ readonly visit: number; readonly display: { readonly scanId: string } } | null>;
  readonly inputs: Accessor<CaseInputs>;
  readonly numbering: Accessor<NumberingScheme>;
  /** Terms of the scanner; null: the stated assumptions. */
  readonly scanner: Accessor<ScannerProfile | null>;
  /** The other arch of the case. */
  readonly other: Accessor<OpposingFile | null>;
  /** The scan of the other arch cannot be read. */
  readonly onOtherRefused: (bytes: Uint8Array, error: ArchgapError) => void;
  /** A scan is being read: what belongs to the open one may be about to go. */
  readonly isOpening: Accessor<boolean>;
  /** The teeth cannot be told apart with these inputs; nothing was changed. */
  readonly onRefused: (inputs: CaseInputs, error: ArchgapError) => void;
}

export function createResults({
  client,
  open,
  inputs,
  numbering,
  scanner,
  other,
  onOtherRefused,
  isOpening,
  onRefused,
}: ResultSources): Results {
  const scanId = createMemo(() => open()?.display.scanId ?? null);
  const jobs = {
    segment: createJob(),
    measure: createJob(),
    plan: createJob(),
    check: createJob(),
    opposing: createJob(),
    section: createJob(),
  };
  const [segmented, setSegmented] = createSignal<{ reply: SegmentReply; clicks: ClickSet } | null>(null);
  /** A first answer that is shown until the settled one is there; never measured. */
  const [drafted, setDrafted] = createSignal<{ reply: SegmentReply; clicks: ClickSet } | null>(null);
  const [measured, setMeasured] = createSignal<Measured | null>(null);
  const [resting, setResting] = createSignal(false);
  const [planned, setPlanned] = createSignal<Planned | null>(null);
  const [selected, setSelected] = createSignal<ContactKey | null>(null);
  const [section, setSection] = createSignal<SectionProfile | null>(null);

  /** Changes only when something changed that the teeth depend on. */
  const clicks = createMemo(() => clickSetOf(inputs()), null, { equals: sameClicks });

  const forget = () => {
    jobs.measure.cancel();
    setSegmented(null);
    setDrafted(null);
    setMeasured(null);
    setPlanned(null);
    setSection(null);
  };

  /** Another case begins without a chosen contact; the same one read again keeps it. */
  createEffect(
    on(
      createMemo(() => open()?.visit),
      () => setSelected(null),
      { defer: true },
    ),
  );
  const segmentNow = async (scan: string, set: ClickSet) => {
    const asked = inputs();
    const reply = await jobs.segment.run('Telling the teeth apart', (watch) => {
      // Both are asked at once: the worker answers the quick one first. A refusal is said by the other one.
      client.draft(scan, set).then(
        (draft) => draft && clicks() === set && setDrafted({ reply: draft, clicks: set }),
        () => {},
      );
      return client.segment(scan, set, watch);
    });
    if (reply && scanId() === scan) setSegmented({ reply, clicks: set });
    const state = jobs.segment.state();
    // The failure of a newer run is not this one's.
    if (reply === null && clicks() === set && state.kind === 'failed') onRefused(asked, state.error);
  };
  createEffect(
    on([scanId, clicks], ([scan, set], previous) => {
      if (previous && previous[0] !== scan) batch(forget);
      if (scan !== null && set !== null) return void segmentNow(scan, set);
      jobs.segment.cancel();
      batch(forget);
    }),
  );

  const measureNow = async (scan: string, set: ClickSet) => {
    const profile = scanner();
    const settings = { limitMm: inputs().limitMm, ...(profile === null ? {} : { scanner: profile }) };
    const reply = await jobs.measure.run('Measuring the contacts', (watch) =>
      client.measure(scan, set, settings, watch),
    );
    if (scanId() !== scan) return;
    if (reply) setMeasured({ ...reply, clicks: set, profile });
    // Contacts of earlier clicks beside a refusal would be taken for those of the present ones.
    else if (jobs.measure.state().kind === 'failed') setMeasured(null);
  };
  createEffect(
    on([segmented, scanner], ([current]) => {
      jobs.measure.cancel();
      const scan = scanId();
      if (!current || scan === null) return;
      setResting(true);
      const timer = setTimeout(() => {
        setResting(false);
        void measureNow(scan, current.clicks);
      }, MEASURE_REST_MS);
      onCleanup(() => {
        clearTimeout(timer);
        setResting(false);
      });
    }),
  );

  const limitMm = createMemo(() => inputs().limitMm);
  const analysis = createMemo(() => {
    const current = measured();
    return current ? withLimit(current.analysis, limitMm()) : null;
  });

  const settings = createMemo(() => closureSettingsOf(inputs(), numbering()), undefined, {
    equals: sameJson,
  });
  createEffect(
    on([analysis, settings], ([current, wanted]) => {
      if (!current) return setPlanned(null);
      const timer = setTimeout(async () => {
        const made = await jobs.plan.run('Trying the spans', () => client.plan(current, wanted));
        if (made && analysis() === current)
          setPlanned({ plan: made, analysis: current, settings: wanted, complete: false });
      }, PLAN_REST_MS);
      onCleanup(() => clearTimeout(timer));
    }),
  );

  /** The widths of the other arch are among the reasons of a plan. */
  const otherMeasured = createMemo(() => {
    const found = other()?.analysis ?? null;
    return found !== null && found.jaw !== analysis()?.jaw ? found : null;
  });
  createEffect(
    on(otherMeasured, () => setPlanned((current) => current && { ...current, complete: false }), {
      defer: true,
    }),
  );
  createEffect(
    on(planned, async (current) => {
      jobs.check.cancel();
      const scan = scanId();
      if (!current || current.complete || scan === null) return;
      const plan = await jobs.check.run('Measuring the plan on the moved crowns', (watch) =>
        client.completePlan(scan, current.analysis, current.settings, untrack(otherMeasured), watch),
      );
      if (plan && planned() === current) setPlanned({ ...current, plan, complete: true });
    }),
  );

  const [opposing, setOpposingFacts] = createSignal<OpposingFacts | null>(null);
  /** The scan for which the worker holds an opposing one, or was asked to. */
  let opposedScan: string | null = null;
  const opposingFile = createMemo(other, null, {
    equals: (a, b) => a?.bytes === b?.bytes && a?.unit === b?.unit,
  });
  createEffect(
    on([scanId, opposingFile], async ([scan, file]) => {
      jobs.opposing.cancel();
      setOpposingFacts(null);
      if (scan === null) return;
      const planAnew = () => setPlanned((current) => current && { ...current, complete: false });
      if (file === null) {
        if (opposedScan !== scan) return;
        opposedScan = null;
        await client.dropOpposing(scan);
        return planAnew();
      }
      const { fileName, bytes, unit } = file;
      // Taken away again before the reply is there, it may be held all the same.
      opposedScan = scan;
      const facts = await jobs.opposing.run('Reading the opposing scan', (watch) =>
        client.openOpposing(scan, bytes, { fileName, unit }, watch),
      );
      if (opposingFile() !== file) return;
      const state = jobs.opposing.state();
      if (state.kind === 'failed' && state.error.kind === 'input') onOtherRefused(bytes, state.error);
      if (facts === null || scanId() !== scan) return;
      setOpposingFacts(facts);
      planAnew();
    }),
  );

  const selectedContact = createMemo(
    () => analysis()?.contacts.find((contact) => contactKey(contact) === selected()) ?? null,
  );
  createEffect(
    on([selected, measured], async ([key, current]) => {
      setSection(null);
      jobs.section.cancel();
      const scan = scanId();
      const contact = current?.analysis.contacts.find((one) => contactKey(one) === key);
      if (!contact?.pointA || scan === null) return;
      const { toothA, toothB } = contact;
      const profile = await jobs.section.run('Cutting', () => client.section(scan, toothA, toothB));
      if (profile && selected() === key) setSection(profile);
    }),
  );

  const measureIsDue = () => resting() || jobs.measure.state().kind === 'running';
  const analysisIsOld = () => {
    const current = measured();
    return current !== null && (current.clicks !== clicks() || current.profile !== scanner());
  };

  return {
    segmentation: () => {
      const current = segmented();
      const draft = drafted();
      if (draft && draft.clicks === clicks() && current?.clicks !== draft.clicks) return draft.reply;
      const settled = measured()?.clicks === current?.clicks ? measured()?.settled : null;
      return settled ?? current?.reply ?? null;
    },
    analysis,
    analysisIsOld,
    measureIsDue,
    measureIsStopped: () =>
      segmented() !== null &&
      !isOpening() &&
      jobs.segment.state().kind !== 'running' &&
      !measureIsDue() &&
      (measured() === null || analysisIsOld()),
    plan: () => planned()?.plan ?? null,
    planIsComplete: () => planned()?.complete ?? false,
    opposing,
    planIsOld: () => {
      const made = planned();
      return made !== null && (made.analysis !== analysis() || made.settings !== settings());
    },
    selected,
    select: setSelected,
    selectedContact,
    section,
    measureAgain: () => {
      const current = segmented();
      const scan = scanId();
      const set = clicks();
      if (!current || set === null || scan === null) return;
      // Teeth of earlier clicks, because telling them apart failed, are no teeth to measure.
      void (current.clicks === set ? measureNow(scan, set) : segmentNow(scan, set));
    },
    jobs,
  };
}

function sameClicks(a: ClickSet | null, b: ClickSet | null): boolean {
  if (a === null || b === null) return a === b;
  return a.jaw === b.jaw && a.clicks === b.clicks && a.missing === b.missing && a.fixed === b.fixed;
}

function sameJson(a: unknown, b: unknown): boolean {
  return JSON.stringify(a) === JSON.stringify(b);
}
