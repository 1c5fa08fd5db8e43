import { expect, it } from 'vitest';
import { fileChanged, readFault, writeFault } from '../../src/cli/file-faults.ts';
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

it.each([
  ['ELOOP', 'FILE_NOT_READABLE', /leads back to itself; name the file/],
  ['ENAMETOOLONG', 'FILE_NOT_FOUND', /longer than names can be/],
])('of a name with %s it says what is wrong with the name', (code, own, sentence) => {
  const fault = readFault('scan.stl', Object.assign(new Error(code), { code }));
  expect([fault.kind, fault.code]).toEqual(['input', own]);
  expect(fault.message).toMatch(sentence);
});

it.each([
  ['ENOENT', /the folder in which it should lie is not there; make it/],
  ['EROFS', /its disk is read-only \(EROFS\); name a folder on another/],
])('of a place with %s it says what hinders', (code, sentence) => {
  const fault = writeFault('out/result.json', Object.assign(new Error(code), { code }));
  expect([fault.kind, fault.code]).toEqual(['input', 'OUT_NOT_WRITABLE']);
  expect(fault.message).toMatch(sentence);
});
