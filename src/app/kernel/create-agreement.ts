import { type Accessor, batch, createSignal, untrack } from 'solid-js';
import type { AgreementReply } from '../../../workers/lab-api.ts';
import type { AnalysisClient } from './analysis-client.ts';
import { createJob, type Job } from './create-job.ts';
import type { CaseFile } from './given-file.ts';

/** What is compared: names of columns as typed; empty = found by themselves. */
export interface AgreementColumns {
  readonly value: string;
  readonly target: string;
  readonly by: string;
}

/** Tables of repeated measurements and what they say of agreement. */
export interface AgreementControl {
  readonly tables: Accessor<readonly CaseFile[]>;
  readonly add: (files: readonly CaseFile[]) => void;
  readonly remove: (place: number) => void;
  readonly columns: Accessor<AgreementColumns>;
  readonly setColumns: (columns: AgreementColumns) => void;
  readonly job: Job;
  readonly reply: Accessor<AgreementReply | null>;
}

export function createAgreement(client: AnalysisClient, version: string): AgreementControl {
  const [tables, setTables] = createSignal<readonly CaseFile[]>([]);
  const [columns, putColumns] = createSignal<AgreementColumns>({ value: '', target: '', by: '' });
  const [reply, setReply] = createSignal<AgreementReply | null>(null);
  const job = createJob();

  async function run(): Promise<void> {
    setReply(null);
    const given = tables();
    if (given.length === 0) return job.cancel();
    const { value, target, by } = columns();
    const options = { value: value.trim() || null, target: namesIn(target), by: namesIn(by) };
    const request = {
      tables: given.map(({ name, bytes }) => ({ fileName: name, bytes })),
      options,
      version,
    };
    const found = await job.run('Comparing the measurements', (watch) =>
      client.assessAgreement(request, watch),
    );
    if (found) setReply(found);
  }

  const change = (act: () => void) => {
    batch(act);
    void untrack(run);
  };

  return {
    tables,
    columns,
    job,
    reply,
    add: (files) => change(() => setTables((before) => [...before, ...files])),
    remove: (place) => change(() => setTables((before) => before.filter((_, k) => k !== place))),
    setColumns: (next) => change(() => putColumns(next)),
  };
}

/** `operator, session` as names; null where nothing is written. */
function namesIn(text: string): readonly string[] | null {
  const names = text
    .split(',')
    .map((name) => name.trim())
    .filter((name) => name !== '');
  return names.length === 0 ? null : names;
}
