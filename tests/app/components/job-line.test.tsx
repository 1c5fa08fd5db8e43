import { cleanup, fireEvent, render, screen, waitFor } from '@solidjs/testing-library';
import { createRoot } from 'solid-js';
import { afterEach, expect, it } from 'vitest';
import { JobLine } from '../../../src/app/components/JobLine.tsx';
import { createJob, type Job } from '../../../src/app/kernel/create-job.ts';
import { inputError } from '../../../src/geometry/archgap-error.ts';

afterEach(cleanup);

const makeJob = (): Job => createRoot(() => createJob());

it('shows a bar without a value before the first progress, then the share, and nothing at the end', async () => {
  const job = makeJob();
  render(() => <JobLine job={job} />);
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
  render(() => <JobLine job={job} cancellable />);
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
  render(() => <JobLine job={job} />);
  await job.run('Reading', async () => {
    throw inputError('STL_TRUNCATED', 'The file ends early.');
  });
  await waitFor(() => expect(screen.getByRole('alert').textContent).toContain('The file ends early.'));
  fireEvent.click(screen.getByRole('button', { name: 'Dismiss' }));
  expect(screen.queryByRole('alert')).toBeNull();
});
