import { type Accessor, createEffect, createMemo, createSignal, on, onCleanup } from 'solid-js';
import type { MeasureReply } from '../../../workers/analysis-api.ts';
import { withLimit } from '../../contacts/decide.ts';
import type { Analysis, ScannerProfile } from '../../contacts/types.ts';
import { withFixedTeeth } from '../../contacts/with-fixed-teeth.ts';
import type { ClickSet, ToothNumber } from '../../teeth/types.ts';
import type { AnalysisClient } from './analysis-client.ts';
import { createJob, type Job } from './create-job.ts';
import type { ClickedTeeth } from './create-teeth.ts';

/**
 * Rest after the last change of clicks or terms before the contacts are measured, ms: clicks come in quick runs. Where
 * telling the teeth apart took longer, they are measured at once.
 */
const MEASURE_REST_MS = 350;

/** An analysis with what it was made from. */
export interface Measured extends MeasureReply {
  readonly clicks: ClickSet;
  readonly profile: ScannerProfile | null;
}

/** The space at every contact, measured again whenever the teeth or the terms of the scanner change. */
interface Contacts {
  readonly measured: Accessor<Measured | null>;
  /** Decided with the limit of the moment, and with the teeth that must not be moved now. */
  readonly analysis: Accessor<Analysis | null>;
  /** Measuring is on its way or about to begin. */
  readonly isDue: Accessor<boolean>;
  measure(scan: string, set: ClickSet): Promise<void>;
  forget(): void;
  readonly job: Job;
}

interface ContactSources {
  readonly client: AnalysisClient;
  readonly scanId: Accessor<string | null>;
  readonly segmented: Accessor<ClickedTeeth | null>;
  /** The clicks of the moment: teeth of other ones are not measured any more. */
  readonly clicks: Accessor<ClickSet | null>;
  readonly limitMm: Accessor<number>;
  /** Teeth that must not be moved. */
  readonly fixed: Accessor<readonly ToothNumber[]>;
  /** Terms of the scanner; null: the stated assumptions. */
  readonly scanner: Accessor<ScannerProfile | null>;
  readonly scannerTakenOver: Accessor<boolean>;
}

export function createContacts(sources: ContactSources): Contacts {
  const { client, scanId, segmented, clicks, limitMm, fixed, scanner, scannerTakenOver } = sources;
  const job = createJob();
  const [measured, setMeasured] = createSignal<Measured | null>(null);
  const [resting, setResting] = createSignal(false);

  async function measure(scan: string, set: ClickSet) {
    const profile = scanner();
    const settings = { limitMm: limitMm(), ...(profile === null ? {} : { scanner: profile }) };
    const reply = await job.run('Measuring the contacts', (watch) =>
      client.measure(scan, set, settings, watch),
    );
    if (scanId() !== scan) return;
    // Measured again on the same clicks, the teeth that were settled before are still the ones that were measured.
    const before = measured();
    const settled = reply?.settled ?? (before?.clicks === set ? before.settled : null);
    if (reply) setMeasured({ ...reply, settled, clicks: set, profile });
    // Contacts of earlier clicks beside a refusal would be taken for those of the present ones.
    else if (job.state().kind === 'failed') setMeasured(null);
  }

  createEffect(
    on([segmented, scanner, clicks], ([current, , set], before) => {
      job.cancel();
      const scan = scanId();
      if (!current || scan === null || current.clicks !== set) return;
      // Nobody has failed at anything yet: the first click makes no contact.
      if (!canHaveContacts(current.clicks)) {
        job.clear();
        setMeasured(null);
        return;
      }
      const spentMs = current === before?.[0] ? 0 : performance.now() - current.askedMs;
      setResting(true);
      const timer = setTimeout(
        () => {
          setResting(false);
          void measure(scan, current.clicks);
        },
        Math.max(0, MEASURE_REST_MS - spentMs),
      );
      onCleanup(() => {
        clearTimeout(timer);
        setResting(false);
      });
    }),
  );

  return {
    measured,
    analysis: createMemo(() => {
      const current = measured();
      if (!current) return null;
      // Who said which scanner it was changes nothing of what was measured, only what it may be compared with.
      const decided = withFixedTeeth(withLimit(current.analysis, limitMm()), fixed());
      if (!scannerTakenOver()) return decided;
      return { ...decided, settings: { ...decided.settings, scannerTakenOver: true as const } };
    }),
    isDue: () => resting() || job.state().kind === 'running',
    measure,
    forget() {
      job.cancel();
      setMeasured(null);
    },
    job,
  };
}

/** Whether two teeth at least are clicked. */
export function canHaveContacts({ clicks }: Pick<ClickSet, 'clicks'>): boolean {
  return new Set(clicks.flatMap(({ tooth }) => (tooth === 'gum' ? [] : [tooth]))).size > 1;
}
