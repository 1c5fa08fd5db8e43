import { afterEach, expect, it } from 'vitest';
import { CANCEL_MESSAGE, type JobProgress, PROGRESS_INTERVAL_MS } from '../../../workers/analysis-api.ts';
import { portJob } from '../../../workers/port-job.ts';

const ports: MessagePort[] = [];
afterEach(() => {
  for (const port of ports.splice(0)) port.close();
});

function channel(now: () => number) {
  const { port1, port2 } = new MessageChannel();
  ports.push(port1, port2);
  const reports: JobProgress[] = [];
  let heard = () => {};
  port1.onmessage = ({ data }: MessageEvent<JobProgress | 'end'>) => {
    if (data === 'end') heard();
    else reports.push(data);
  };
  const job = portJob(port2, now);
  /** Messages of a port come in order: after its own, all before have been heard. */
  const settle = () =>
    new Promise<void>((resolve) => {
      heard = resolve;
      port2.postMessage('end');
    });
  return { caller: port1, job, reports, settle };
}

it('reports a stage at once and then not more often than the interval', async () => {
  expect.assertions(1);
  let time = 0;
  const { job, reports, settle } = channel(() => time);
  for (let i = 0; i < 100; i++) {
    time += PROGRESS_INTERVAL_MS / 40;
    await job.checkpoint(i / 100, 'reading');
  }
  await settle();
  // 100 steps of a fortieth of the interval = 2.5 intervals: the first report and two more.
  expect(reports.map((report) => report.stage)).toEqual(['reading', 'reading', 'reading']);
});

it('reports a new stage without waiting', async () => {
  expect.assertions(1);
  const { job, reports, settle } = channel(() => 0);
  await job.checkpoint(0, 'reading');
  await job.checkpoint(0.5, 'welding');
  await settle();
  expect(reports).toEqual([
    { fraction: 0, stage: 'reading' },
    { fraction: 0.5, stage: 'welding' },
  ]);
});

it('hears a cancel at a later checkpoint although the work never rests by itself', async () => {
  expect.assertions(2);
  const { caller, job } = channel(() => performance.now());
  await job.checkpoint(0, 'measuring');
  caller.postMessage(CANCEL_MESSAGE);
  let steps = 0;
  const work = async () => {
    for (const start = performance.now(); performance.now() - start < 5000; steps++)
      await job.checkpoint(0.5, 'measuring');
  };
  await expect(work()).rejects.toMatchObject({ code: 'CANCELLED', kind: 'cancelled' });
  expect(steps).toBeGreaterThan(0);
});
