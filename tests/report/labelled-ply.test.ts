import { parse } from '@loaders.gl/core';
import { PLYLoader } from '@loaders.gl/ply';
import { describe, expect, it } from 'vitest';
import { writeLabelledPly } from '../../src/report/labelled-ply.ts';
import type { Scan } from '../../src/scan/types.ts';
import { makeHealth, makeSource } from '../helpers/make-analysis.ts';

/** Two triangles that share an edge. */
function quad(changes: Partial<Scan> = {}): Scan {
  return {
    positions: new Float32Array([0, 0, 0, 1.25, 0, 0, 1.25, 2.5, 0, 0, 2.5, -0.1]),
    triangles: new Uint32Array([0, 1, 2, 0, 2, 3]),
    colors: null,
    originMm: [0, 0, 0],
    source: makeSource(),
    health: makeHealth(),
    ...changes,
  };
}

/** Header lines and the bytes after them, read without the writer's help. */
function split(bytes: Uint8Array): { header: string[]; body: DataView } {
  const text = new TextDecoder('latin1').decode(bytes);
  const end = text.indexOf('end_header\n') + 'end_header\n'.length;
  return { header: text.slice(0, end).trimEnd().split('\n'), body: new DataView(bytes.buffer, end) };
}

describe('writeLabelledPly', () => {
  it('writes the header of the contract', () => {
    expect(split(writeLabelledPly(quad(), new Uint8Array([11, 0]))).header).toEqual([
      'ply',
      'format binary_little_endian 1.0',
      'comment unit mm',
      'comment tooth: ISO 3950 number, 0 = gum',
      'element vertex 4',
      'property float x',
      'property float y',
      'property float z',
      'element face 2',
      'property list uchar int vertex_indices',
      'property uchar tooth',
      'end_header',
    ]);
  });

  it('puts corners and tooth of every face where the header says', () => {
    const { body } = split(writeLabelledPly(quad(), new Uint8Array([11, 48])));
    const faceAt = (k: number) => 4 * 12 + k * 14;
    const face = (k: number) => [
      body.getUint8(faceAt(k)),
      ...[0, 1, 2].map((c) => body.getInt32(faceAt(k) + 1 + 4 * c, true)),
      body.getUint8(faceAt(k) + 13),
    ];
    expect([face(0), face(1)]).toEqual([
      [3, 0, 1, 2, 11],
      [3, 0, 2, 3, 48],
    ]);
    expect(body.byteLength).toBe(4 * 12 + 2 * 14);
  });

  it('is read by a general-purpose PLY reader', async () => {
    const colors = new Uint8Array([255, 0, 0, 0, 255, 0, 0, 0, 255, 9, 8, 7]);
    const bytes = writeLabelledPly(quad({ colors }), new Uint8Array([21, 0]));
    const mesh = await parse(bytes.buffer, PLYLoader, { core: { worker: false } });
    expect(Array.from(mesh.attributes.POSITION!.value)).toEqual(Array.from(quad().positions));
    expect(Array.from(mesh.indices!.value)).toEqual([0, 1, 2, 0, 2, 3]);
    expect(Array.from(mesh.attributes.COLOR_0!.value).slice(0, 3)).toEqual([255, 0, 0]);
  });

  it('keeps micrometres far from the origin by writing doubles', () => {
    const { header, body } = split(
      writeLabelledPly(quad({ originMm: [123456.789, 0, 0] }), new Uint8Array([0, 0])),
    );
    expect(header).toContain('property double x');
    expect(body.getFloat64(24, true)).toBeCloseTo(123456.789 + 1.25, 9);
  });

  it('refuses labels of another mesh', () => {
    expect(() => writeLabelledPly(quad(), new Uint8Array([11]))).toThrow('1 labels for 2 triangles');
  });
});
