// @vitest-environment node
import { readFileSync } from 'node:fs';
import { afterEach, expect, test, vi } from 'vitest';
import { isShared } from '../../../src/geometry/shared-array.ts';
import { readScan } from '../../../src/scan/read-scan.ts';
import { forReply, shareable } from '../../../workers/share-arrays.ts';

const demo = () =>
  readScan(new Uint8Array(readFileSync('public/demo/demo-arch.ply')), { fileName: 'demo-arch.ply' });

afterEach(() => void vi.unstubAllGlobals());

test('the scan as it was, in shared memory, without what only labels of the file need', async () => {
  const plain = await demo();
  vi.stubGlobal('crossOriginIsolated', true);
  const scan = shareable(await demo());
  const { triangleInFile, vertexInFile, ...rest } = plain;
  expect(triangleInFile!.length).toBe(plain.triangles.length / 3);
  expect(vertexInFile!.length).toBe(plain.positions.length / 3);
  expect(scan).toEqual(rest);
  expect([scan.positions, scan.triangles].every(isShared)).toBe(true);
  expect(forReply(scan.positions)).toBe(scan.positions);
});

test('where nothing is shared, a copy crosses', async () => {
  const scan = shareable(await demo());
  expect(isShared(scan.positions)).toBe(false);
  const crossing = forReply(scan.positions);
  expect(crossing).toEqual(scan.positions);
  expect(crossing.buffer).not.toBe(scan.positions.buffer);
});
