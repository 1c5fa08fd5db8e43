// @vitest-environment node
import { expect, it } from 'vitest';
import type { AnalysisApi } from '../../../workers/analysis-api.ts';
import { beforeCalls } from '../../../workers/before-calls.ts';

it('acts before every call but a sign of life, and hands on what was given and answered', async () => {
  const told: unknown[] = [];
  const service = {
    readClicks: async (...given: unknown[]) => {
      told.push(given);
      return 'clicks';
    },
    ping: async () => void told.push('ping'),
  } as unknown as AnalysisApi;
  const wrapped = beforeCalls(service, () => told.push('act'));
  await wrapped.ping();
  expect(await wrapped.readClicks('scan-1', '{}')).toBe('clicks');
  expect(told).toEqual(['ping', 'act', ['scan-1', '{}']]);
});
