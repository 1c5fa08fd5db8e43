import { expect, it } from 'vitest';
import { fileChanged, readFault } from '../../src/cli/file-faults.ts';
import { cancelledError } from '../../src/geometry/archgap-error.ts';

it('a file that was written to is called what it was called by whoever asked for it', () => {
  const fault = readFault('list/scan.stl', fileChanged('/studies/list/scan.stl', 84, 84));
  expect(fault).toMatchObject({
    code: 'FILE_CHANGED',
    details: { path: 'list/scan.stl', length: 84, now: 84 },
  });
  expect(fault.message).toMatch(/^"list\/scan\.stl" was written to/);
});

it('that the program was stopped while it waited is no fault of the file', () => {
  const stopped = cancelledError();
  expect(readFault('scan.stl', stopped)).toBe(stopped);
});
