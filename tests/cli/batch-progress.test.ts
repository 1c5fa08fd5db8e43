import { describe, expect, it } from 'vitest';
import { makeBatchProgress, progressLine } from '../../src/cli/batch-progress.ts';
import { makeMemoryWorld } from '../helpers/memory-io.ts';

describe('the progress of a batch', () => {
  it('reckons the time left from the rows that took time', () => {
    expect(progressLine({ measured: 0, kept: 0, failed: 0 }, 40, 0)).toBe('0 of 40 scans');
    expect(progressLine({ measured: 10, kept: 0, failed: 0 }, 40, 20_000)).toBe(
      '10 of 40 scans, about 60 s left',
    );
    expect(progressLine({ measured: 9, kept: 20, failed: 1 }, 500, 60_000)).toBe(
      '30 of 500 scans, 20 unchanged, 1 failed, about 47 min left',
    );
    expect(progressLine({ measured: 1, kept: 0, failed: 0 }, 5001, 3000)).toBe(
      '1 of 5001 scans, about 4 h 10 min left',
    );
    expect(progressLine({ measured: 40, kept: 0, failed: 0 }, 40, 80_000)).toBe('40 of 40 scans');
  });

  it('says before a merge how many scans were compared, on a terminal alone', () => {
    const shown = (terminal: boolean) => {
      const { io, stderr } = makeMemoryWorld({}, { terminal });
      const progress = makeBatchProgress(900, io);
      progress.tellCompared(12);
      progress.clear();
      return stderr().split('\r\x1b[K').slice(1);
    };
    expect(shown(true)).toEqual(['0 of 900 scans', '12 of 900 scans compared with the list', '']);
    expect(shown(false)).toEqual([]);
  });
});
