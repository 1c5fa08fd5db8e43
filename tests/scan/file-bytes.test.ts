import { describe, expect, it } from 'vitest';
import { icosphere } from '../../fixtures/shapes.ts';
import { writePly } from '../../fixtures/write-ply.ts';
import { writeAsciiStl, writeBinaryStl } from '../../fixtures/write-stl.ts';
import { ArchgapError } from '../../src/geometry/archgap-error.ts';
import type { OpenFile } from '../../src/scan/file-bytes.ts';
import { readScan } from '../../src/scan/read-scan.ts';
import { sha256 } from '../../src/scan/sha256.ts';

const bytesOf = ({ buffer, byteOffset, byteLength }: ArrayBufferView): Uint8Array =>
  new Uint8Array(buffer, byteOffset, byteLength);

/** The bytes as an open file: every stretch lies in the same memory, which the next one overwrites. */
async function opened(bytes: Uint8Array): Promise<OpenFile> {
  const memory = new Uint8Array(bytes.length + 3);
  const digest = await sha256(bytes);
  return {
    length: bytes.length,
    read: (from, to) => {
      expect(from).toBeGreaterThanOrEqual(0);
      expect(to).toBeLessThanOrEqual(bytes.length);
      memory.fill(0xee);
      // An odd offset, as a view into other memory may have.
      memory.set(bytes.subarray(from, to), 3);
      return memory.subarray(3, 3 + to - from);
    },
    sha256: () => digest,
  };
}

// More triangles than two stretches of 4096 hold.
const ball = icosphere({ radius: 20, edgeMm: 0.9 });
const stl = writeBinaryStl(ball);

describe('a file read stretch by stretch', () => {
  it.each([
    ['binary STL', stl],
    ['binary STL with zeros behind it', writeBinaryStl(ball, { trailing: new Uint8Array(100) })],
    ['binary STL with a few bytes behind it', writeBinaryStl(ball, { trailing: Uint8Array.of(1, 2, 3) })],
    ['ASCII STL', writeAsciiStl(icosphere({ radius: 20, edgeMm: 2 }))],
    ['binary PLY', writePly(ball)],
  ])('is the same scan as from its bytes: %s', async (_, bytes) => {
    const options = { fileName: 'ball.scan', unit: 'mm' } as const;
    expect(ball.triangles.length / 3).toBeGreaterThan(10_000);
    const [{ positions, triangles, vertexInFile, triangleInFile, ...rest }, whole] = [
      await readScan(await opened(bytes), options),
      await readScan(bytes, options),
    ];
    for (const [values, expected] of [
      [positions, whole.positions],
      [triangles, whole.triangles],
      [vertexInFile!, whole.vertexInFile!],
      [triangleInFile!, whole.triangleInFile!],
    ] as const)
      expect(Buffer.compare(bytesOf(values), bytesOf(expected))).toBe(0);
    expect(whole).toMatchObject(rest);
  });

  it('is held a stretch at a time, the zeros behind a binary STL, too', async () => {
    const padded = writeBinaryStl(ball, { trailing: new Uint8Array(2_000_000) });
    const file = await opened(padded);
    let longest = 0;
    const read = (from: number, to: number): Uint8Array => {
      longest = Math.max(longest, to - from);
      return file.read(from, to);
    };
    const { source } = await readScan({ ...file, read }, { fileName: 'ball.stl', unit: 'mm' });
    expect(source.byteLength).toBe(padded.length);
    expect(longest).toBeLessThan(300_000);
  });

  it.each([
    ['cut short', stl.subarray(0, 200_000), 'ball.stl'],
    ['a count that is wrong', writeBinaryStl(ball, { trailing: new Uint8Array(100).fill(7) }), 'ball.stl'],
    ['shorter than a header', stl.subarray(0, 40), 'ball.stl'],
    ['empty', new Uint8Array(0), 'ball.stl'],
    ['of another format', new TextEncoder().encode('%PDF-1.7'), 'ball.pdf'],
  ])('is refused as its bytes are: %s', async (_, bytes, fileName) => {
    const fault = await readScan(bytes, { fileName }).catch((error: unknown) => error);
    expect(fault).toBeInstanceOf(ArchgapError);
    await expect(opened(bytes).then((file) => readScan(file, { fileName }))).rejects.toEqual(fault);
  });
});
