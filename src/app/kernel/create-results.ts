import { type Accessor, batch, createEffect, createMemo, on } from 'solid-js';
import type { OpposingFacts, SegmentReply } from '../../../workers/analysis-api.ts';
import type { ClosurePlan } from '../../closure/types.ts';
import type { Analysis, Contact, ScannerProfile, SectionProfile } from '../../contacts/types.ts';
import type { ArchgapError } from '../../geometry/archgap-error.ts';
import type { ClickSet, NumberingScheme } from '../../teeth/types.ts';
import type { AnalysisClient } from './analysis-client.ts';
import { type CaseInputs, clickSetOf, closureSettingsOf } from './case-inputs.ts';
import { createChosenContact } from './create-chosen-contact.ts';
import { canHaveContacts, createContacts } from './create-contacts.ts';
import type { Job } from './create-job.ts';
import { createOpposing, type OpposingFile } from './create-opposing.ts';
import { createPlans } from './create-plans.ts';
import { createTeeth } from './create-teeth.ts';
import type { ContactKey } from './display-types.ts';
import type { ScanBytes } from './scan-bytes.ts';

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
  /** They were not measured because the clicks cannot be used as they are: once more, it would come to the same. */
  readonly measureIsRefused: Accessor<boolean>;
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

export interface ResultSources {
  readonly client: AnalysisClient;
  readonly open: Accessor<{ readonly visit: number; readonly display: { readonly scanId: string } } | null>;
  readonly inputs: Accessor<CaseInputs>;
  readonly numbering: Accessor<NumberingScheme>;
  /** Terms of the scanner; null: the stated assumptions. */
  readonly scanner: Accessor<ScannerProfile | null>;
  /** Nobody said that the scan was made with it: see `MeasureSettings`. */
  readonly scannerTakenOver: Accessor<boolean>;
  /** The other arch of the case. */
  readonly other: Accessor<OpposingFile | null>;
  /** The scan of the other arch cannot be read. */
  readonly onOtherRefused: (bytes: ScanBytes, error: ArchgapError) => void;
  /** A scan is being read: what belongs to the open one may be about to go. */
  readonly isOpening: Accessor<boolean>;
  /** The teeth cannot be told apart with these inputs; nothing was changed. */
  readonly onRefused: (inputs: CaseInputs, error: ArchgapError) => void;
}

export function createResults(sources: ResultSources): Results {
  const { client, open, inputs, numbering, scanner, scannerTakenOver, other, isOpening } = sources;
  const scanId = createMemo(() => open()?.display.scanId ?? null);
  /** Changes only when something changed that the teeth depend on: not with those that must not be moved. */
  const clicks = createMemo(() => clickSetOf(inputs()), null, { equals: sameClicks });
  const limitMm = createMemo(() => inputs().limitMm);
  const fixed = createMemo(() => inputs().fixed, [], { equals: sameJson });
  const settings = createMemo(() => closureSettingsOf(inputs(), numbering()), undefined, {
    equals: sameJson,
  });

  const teeth = createTeeth({ client, scanId, clicks, inputs, onRefused: sources.onRefused });
  const { segmented, drafted } = teeth;
  const contacts = createContacts({
    client,
    scanId,
    segmented,
    clicks,
    limitMm,
    fixed,
    scanner,
    scannerTakenOver,
  });
  const { measured, analysis } = contacts;
  const otherMeasured = createMemo(() => {
    const found = other()?.analysis ?? null;
    return found !== null && found.jaw !== analysis()?.jaw ? found : null;
  });
  const plans = createPlans({ client, scanId, analysis, settings, otherMeasured });
  const opposing = createOpposing({
    client,
    scanId,
    other,
    onOtherRefused: sources.onOtherRefused,
    onChanged: plans.completeAgain,
  });
  const chosen = createChosenContact({ client, scanId, visit: () => open()?.visit, measured, analysis });

  /** What belongs to a scan or to clicks that are gone. */
  const forget = () =>
    batch(() => {
      for (const part of [contacts, teeth, plans, chosen]) part.forget();
    });
  createEffect(
    on([scanId, clicks], ([scan, set], previous) => {
      if (previous && previous[0] !== scan) forget();
      if (scan !== null && set !== null) return void teeth.segment(scan, set);
      teeth.job.cancel();
      forget();
    }),
  );

  const hasPairs = () => {
    const current = segmented();
    return current !== null && canHaveContacts(current.clicks);
  };
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
    measureIsDue: contacts.isDue,
    measureIsStopped: () =>
      hasPairs() &&
      !isOpening() &&
      teeth.job.state().kind !== 'running' &&
      !contacts.isDue() &&
      (measured() === null || analysisIsOld()),
    measureIsRefused: () => {
      const state = contacts.job.state();
      return state.kind === 'failed' && state.error.kind === 'input';
    },
    plan: () => plans.planned()?.plan ?? null,
    planIsComplete: () => plans.planned()?.complete ?? false,
    opposing: opposing.facts,
    planIsOld: plans.isOld,
    selected: chosen.selected,
    select: chosen.select,
    selectedContact: chosen.contact,
    section: chosen.section,
    measureAgain: () => {
      const current = segmented();
      const scan = scanId();
      const set = clicks();
      if (!current || set === null || scan === null) return;
      // Teeth of earlier clicks, because telling them apart failed, are no teeth to measure.
      void (current.clicks === set ? contacts.measure(scan, set) : teeth.segment(scan, set));
    },
    jobs: {
      segment: teeth.job,
      measure: contacts.job,
      ...plans.jobs,
      opposing: opposing.job,
      section: chosen.job,
    },
  };
}

function sameClicks(a: ClickSet | null, b: ClickSet | null): boolean {
  if (a === null || b === null) return a === b;
  return a.jaw === b.jaw && a.clicks === b.clicks && a.missing === b.missing;
}

function sameJson(a: unknown, b: unknown): boolean {
  return JSON.stringify(a) === JSON.stringify(b);
}
