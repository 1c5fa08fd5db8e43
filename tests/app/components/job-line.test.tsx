import { cleanup, fireEvent, render, screen, waitFor } from '@solidjs/testing-library';
import { createRoot, type JSX } from 'solid-js';
import { afterEach, expect, it } from 'vitest';
import { JobLine } from '../../../src/app/components/JobLine.tsx';
import { AppContext, type AppState } from '../../../src/app/kernel/app-context.ts';
import { createJob, type Job } from '../../../src/app/kernel/create-job.ts';
import { inputError } from '../../../src/geometry/archgap-error.ts';
import type { NumberingScheme } from '../../../src/teeth/types.ts';

afterEach(cleanup);

/** A line on a page of which nothing but the numbering counts. */
const renderLine = (line: () => JSX.Element, numbering: NumberingScheme = 'iso') =>
  render(() => (
    <AppContext.Provider value={{ preferences: { numbering: () => numbering } } as unknown as AppState}>
      {line()}
    </AppContext.Provider>
  ));

const makeJob = (): Job => createRoot(() => createJob());

it('shows a bar without a value before the first progress, then the share, and nothing at the end', async () => {
  const job = makeJob();
  renderLine(() => <JobLine job={job} />);
  expect(screen.queryByRole('progressbar')).toBeNull();
  let finish = () => {};
  let report: (fraction: number) => void = () => {};
  const run = job.run('Reading', (watch) => {
    report = (fraction) => watch.onProgress({ fraction, stage: 'welding' });
    return new Promise<null>((resolve) => {
      finish = () => resolve(null);
    });
  });
  expect(screen.getByRole('progressbar').getAttribute('value')).toBeNull();
  report(0.25);
  expect(screen.getByRole<HTMLProgressElement>('progressbar').value).toBe(0.25);
  expect(screen.getByRole('status').textContent).toContain('welding');
  finish();
  await run;
  expect(screen.queryByRole('progressbar')).toBeNull();
});

it('stops the work', async () => {
  const job = makeJob();
  renderLine(() => <JobLine job={job} cancellable />);
  let stopped = false;
  void job.run('Measuring', (watch) => {
    watch.signal.addEventListener('abort', () => {
      stopped = true;
    });
    return new Promise<null>(() => {});
  });
  fireEvent.click(screen.getByRole('button', { name: 'Stop' }));
  expect(stopped).toBe(true);
  expect(job.state()).toEqual({ kind: 'idle' });
});

it('shows the sentence of a failure until it is dismissed', async () => {
  const job = makeJob();
  renderLine(() => <JobLine job={job} />);
  await job.run('Reading', async () => {
    throw inputError('STL_TRUNCATED', 'The file ends early.');
  });
  await waitFor(() => expect(screen.getByRole('alert').textContent).toContain('The file ends early.'));
  fireEvent.click(screen.getByRole('button', { name: 'Dismiss' }));
  expect(screen.queryByRole('alert')).toBeNull();
});

it('names the teeth of an error in the numbering of the page', async () => {
  const job = makeJob();
  renderLine(() => <JobLine job={job} />, 'universal');
  await job.run('Measuring', async () => {
    throw inputError('TWO_TEETH_ONE_PLACE', 'The clicks of teeth 11 and 12 are only 1.2 mm apart.', {
      details: { toothA: 11, toothB: 12 },
    });
  });
  expect(screen.getByRole('alert').textContent).toContain(
    'The clicks of teeth 8 and 7 are only 1.2 mm apart.',
  );
});
