import { bench, describe } from 'vitest';
import { UNATTENDED } from '../../src/geometry/job-control.ts';
import { runAtOnce, runInSteps } from '../../src/geometry/steps.ts';
import { weldSoup } from '../../src/geometry/weld.ts';
import { openReader, readScan } from '../../src/scan/read-scan.ts';

/** A wavy sheet of about `count` triangles, 60 mm wide. */
function sheetCorners(count: number): Float32Array {
  const n = Math.round(Math.sqrt(count / 2));
  const step = 60 / n;
  const height = (i: number, j: number) => 5 * Math.sin(i * step * 0.3) * Math.cos(j * step * 0.2);
  const corners = new Float32Array(18 * n * n);
  let at = 0;
  for (let j = 0; j < n; j++) {
    for (let i = 0; i < n; i++) {
      for (const [a, b] of [
        [0, 0],
        [1, 0],
        [1, 1],
        [0, 0],
        [1, 1],
        [0, 1],
      ] as const) {
        corners[at++] = (i + a) * step;
        corners[at++] = (j + b) * step;
        corners[at++] = height(i + a, j + b);
      }
    }
  }
  return corners;
}

function stlOf(corners: Float32Array): Uint8Array {
  const count = corners.length / 9;
  const bytes = new Uint8Array(84 + 50 * count);
  const view = new DataView(bytes.buffer);
  view.setUint32(80, count, true);
  for (let i = 0; i < corners.length; i++) {
    view.setFloat32(84 + 50 * Math.floor(i / 9) + 12 + 4 * (i % 9), corners[i]!, true);
  }
  return bytes;
}

function plyOf(corners: Float32Array): Uint8Array {
  const { positions, triangles } = weldSoup(corners);
  const header = new TextEncoder().encode(
    `ply\nformat binary_little_endian 1.0\nelement vertex ${positions.length / 3}\nproperty float x\nproperty float y\n` +
      `property float z\nelement face ${triangles.length / 3}\nproperty list uchar int vertex_indices\nend_header\n`,
  );
  const bytes = new Uint8Array(header.length + positions.byteLength + (13 * triangles.length) / 3);
  bytes.set(header);
  bytes.set(new Uint8Array(positions.buffer), header.length);
  const view = new DataView(bytes.buffer, header.length + positions.byteLength);
  for (let t = 0; t < triangles.length / 3; t++) {
    view.setUint8(13 * t, 3);
    for (let k = 0; k < 3; k++) view.setInt32(13 * t + 1 + 4 * k, triangles[3 * t + k]!, true);
  }
  return bytes;
}

for (const count of [280_000, 1_000_000]) {
  const corners = sheetCorners(count);
  const stl = stlOf(corners);
  const ply = plyOf(corners);
  const options = { iterations: 5, warmupIterations: 2, time: 0, warmupTime: 0 };
  describe(`${count.toLocaleString('en-GB')} triangles`, () => {
    bench('binary STL: parse', () => void runAtOnce(openReader(stl, 'a.stl')), options);
    bench('binary PLY: parse', () => void runAtOnce(openReader(ply, 'a.ply')), options);
    bench('weld', () => void weldSoup(corners), options);
    bench(
      'binary STL to checked scan',
      async () => void (await readScan(stl, { fileName: 'a.stl' })),
      options,
    );
    bench(
      'binary PLY to checked scan',
      async () => void (await readScan(ply, { fileName: 'a.ply' })),
      options,
    );
    bench(
      'the reader in steps',
      async () => void (await runInSteps(openReader(stl, 'a.stl'), UNATTENDED)),
      options,
    );
  });
}
