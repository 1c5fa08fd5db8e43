import { type Accessor, batch, createSignal } from 'solid-js';
import type { SegmentReply } from '../../../workers/analysis-api.ts';
import type { ArchgapError } from '../../geometry/archgap-error.ts';
import type { ClickSet } from '../../teeth/types.ts';
import type { AnalysisClient } from './analysis-client.ts';
import type { CaseInputs } from './case-inputs.ts';
import { createJob, type Job } from './create-job.ts';

/** Teeth with the clicks they were told apart by. */
export interface ClickedTeeth {
  readonly reply: SegmentReply;
  readonly clicks: ClickSet;
  /** When they were asked for, which is when the clicks changed, ms of `performance.now()`. */
  readonly askedMs: number;
}

/** Which part of the scan is which tooth. */
interface Teeth {
  readonly segmented: Accessor<ClickedTeeth | null>;
  /** A first answer that is shown until the settled one is there; never measured. */
  readonly drafted: Accessor<ClickedTeeth | null>;
  segment(scan: string, set: ClickSet): Promise<void>;
  forget(): void;
  readonly job: Job;
}

interface TeethSources {
  readonly client: AnalysisClient;
  readonly scanId: Accessor<string | null>;
  readonly clicks: Accessor<ClickSet | null>;
  readonly inputs: Accessor<CaseInputs>;
  /** The teeth cannot be told apart with these inputs; nothing was changed. */
  readonly onRefused: (inputs: CaseInputs, error: ArchgapError) => void;
}

export function createTeeth({ client, scanId, clicks, inputs, onRefused }: TeethSources): Teeth {
  const job = createJob();
  const [segmented, setSegmented] = createSignal<ClickedTeeth | null>(null);
  const [drafted, setDrafted] = createSignal<ClickedTeeth | null>(null);
  return {
    segmented,
    drafted,
    job,
    async segment(scan, set) {
      const asked = inputs();
      const askedMs = performance.now();
      const reply = await job.run('Telling the teeth apart', (watch) => {
        // Both are asked at once: the worker answers the quick one first. A refusal is said by the other one.
        client.draft(scan, set).then(
          (draft) => draft && clicks() === set && setDrafted({ reply: draft, clicks: set, askedMs }),
          () => {},
        );
        return client.segment(scan, set, watch);
      });
      if (reply && scanId() === scan) setSegmented({ reply, clicks: set, askedMs });
      const state = job.state();
      // The failure of a newer run is not this one's.
      if (reply === null && clicks() === set && state.kind === 'failed') onRefused(asked, state.error);
    },
    forget: () =>
      batch(() => {
        setSegmented(null);
        setDrafted(null);
      }),
  };
}
