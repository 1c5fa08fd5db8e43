import { expect, test } from 'vitest';
import { scanWarnings } from '../../src/scan/scan-warnings.ts';

const FINDINGS = [
  { code: 'SEVERAL_PIECES', severity: 'info', sentence: 'In two pieces.', count: 2 },
  { code: 'TRAILING_BYTES', severity: 'warning', sentence: 'Seven bytes too many.', count: 7 },
] as const;

test('what bears on the measurement, with what the scan is called where there are several', () => {
  const told = { code: 'TRAILING_BYTES', sentence: 'Seven bytes too many.' };
  expect(scanWarnings({ findings: FINDINGS })).toEqual([told]);
  expect(scanWarnings({ findings: FINDINGS }, '"crown.stl"')).toEqual([
    { ...told, sentence: '"crown.stl": Seven bytes too many.' },
  ]);
  expect(scanWarnings(null)).toEqual([]);
});
