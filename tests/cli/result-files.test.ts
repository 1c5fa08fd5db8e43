import { expect, it } from 'vitest';
import type { Measured } from '../../src/cli/measure-scan-file.ts';
import { planDefault } from '../../src/cli/result-files.ts';
import { DEFAULT_CLOSURE_SETTINGS } from '../../src/closure/settings.ts';
import { UNATTENDED } from '../../src/geometry/job-control.ts';
import type { NumberingScheme } from '../../src/teeth/types.ts';
import { makeAnalysis } from '../helpers/make-analysis.ts';

/** Nothing is open on it, so that no surface is moved. */
function measuredAt(limitMm: number): Measured {
  const surface = {
    positions: new Float32Array(0),
    triangles: new Uint32Array(0),
    colors: null,
    originMm: [0, 0, 0] as const,
  };
  return { analysis: makeAnalysis({ limitMm }), surface, labels: new Uint8Array(0), warnings: [] };
}

it('every default plan has the limit and the numbering of its own measurement, whatever was planned before', async () => {
  for (const [limitMm, numbering] of [
    [0.1, 'iso'],
    [0.2, 'iso'],
    [0.2, 'universal'],
    [0.1, 'universal'],
    [0.1, 'iso'],
  ] as [number, NumberingScheme][]) {
    const { plan } = await planDefault(measuredAt(limitMm), numbering, UNATTENDED);
    expect(plan?.settings).toEqual({ ...DEFAULT_CLOSURE_SETTINGS, limitMm, numbering });
  }
});
