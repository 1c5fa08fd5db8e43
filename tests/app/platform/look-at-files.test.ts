// @vitest-environment node
import { describe, expect, it } from 'vitest';
import { lookAtFiles } from '../../../src/app/platform/look-at-files.ts';
import { looksLikeZip } from '../../../src/casefile/read-zip.ts';

const ZIP = new Uint8Array([0x50, 0x4b, 3, 4]);
const heavy = (name: string, head: Uint8Array<ArrayBuffer> = new Uint8Array(4)) =>
  new File([head, new Uint8Array(1_000_000)], name);

describe('files that come onto the page', () => {
  it('are read, all but heavy scans', async () => {
    const given = [
      heavy('upper.STL'),
      heavy('lower.ply'),
      new File(['solid'], 'small.stl'),
      heavy('clicks.json'),
    ];
    const looked = await lookAtFiles(given);
    expect(looked.map(({ name }) => name)).toEqual(given.map(({ name }) => name));
    expect(looked[0]!.bytes).toBe(given[0]);
    expect(looked[1]!.bytes).toBe(given[1]);
    expect(looked[2]!.bytes).toEqual(new TextEncoder().encode('solid'));
    expect(looked[3]!.bytes).toHaveLength(1_000_004);
  });

  it('are read when they are archives under the name of a scan', async () => {
    const [looked] = await lookAtFiles([heavy('case.stl', ZIP)]);
    expect(looksLikeZip(looked!.bytes as Uint8Array)).toBe(true);
    expect(looked!.bytes).toHaveLength(1_000_004);
  });

  it.each([100, 2_000_000])('are refused as the browser does where %i bytes cannot be read', async (size) => {
    const refused = () => Promise.reject(new DOMException('It is a folder.', 'NotFoundError'));
    const folder = Object.assign(new File([new Uint8Array(size)], 'scans.stl'), {
      arrayBuffer: refused,
      slice: () => ({ arrayBuffer: refused }),
    });
    await expect(lookAtFiles([folder])).rejects.toThrow('It is a folder.');
  });
});
