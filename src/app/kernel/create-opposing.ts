import { type Accessor, createEffect, createMemo, createSignal, on } from 'solid-js';
import type { OpposingFacts } from '../../../workers/analysis-api.ts';
import type { Analysis } from '../../contacts/types.ts';
import type { ArchgapError } from '../../geometry/archgap-error.ts';
import type { LengthUnit } from '../../scan/types.ts';
import type { AnalysisClient } from './analysis-client.ts';
import { createJob, type Job } from './create-job.ts';
import type { ScanBytes } from './scan-bytes.ts';

/** The scan of the opposing arch; kept by the page, so that a new worker gets it again. */
export interface OpposingFile {
  readonly fileName: string;
  readonly bytes: ScanBytes;
  readonly unit: LengthUnit | null;
  /** What was measured on it, if it was and still holds. */
  readonly analysis: Analysis | null;
}

interface OpposingSources {
  readonly client: AnalysisClient;
  readonly scanId: Accessor<string | null>;
  /** The other arch of the case. */
  readonly other: Accessor<OpposingFile | null>;
  /** The scan of the other arch cannot be read. */
  readonly onOtherRefused: (bytes: ScanBytes, error: ArchgapError) => void;
  /** The worker holds another opposing scan, or none any more. */
  readonly onChanged: () => void;
}

/** Keeps the opposing scan beside the open one with the worker. */
export function createOpposing({ client, scanId, other, onOtherRefused, onChanged }: OpposingSources): {
  /** The scan of the opposing arch, while it is kept beside this one. */
  readonly facts: Accessor<OpposingFacts | null>;
  readonly job: Job;
} {
  const job = createJob();
  const [facts, setFacts] = createSignal<OpposingFacts | null>(null);
  /** The scan for which the worker holds an opposing one, or was asked to. */
  let opposedScan: string | null = null;
  const opposingFile = createMemo(other, null, {
    equals: (a, b) => a?.bytes === b?.bytes && a?.unit === b?.unit,
  });
  createEffect(
    on([scanId, opposingFile], async ([scan, file]) => {
      job.cancel();
      setFacts(null);
      if (scan === null) return;
      if (file === null) {
        if (opposedScan !== scan) return;
        opposedScan = null;
        await client.dropOpposing(scan);
        return onChanged();
      }
      const { fileName, bytes, unit } = file;
      // Taken away again before the reply is there, it may be held all the same.
      opposedScan = scan;
      const read = await job.run('Reading the opposing scan', (watch) =>
        client.openOpposing(scan, bytes, { fileName, unit }, watch),
      );
      if (opposingFile() !== file) return;
      const state = job.state();
      if (state.kind === 'failed' && state.error.kind === 'input') onOtherRefused(bytes, state.error);
      if (read === null || scanId() !== scan) return;
      setFacts(read);
      onChanged();
    }),
  );
  return { facts, job };
}
