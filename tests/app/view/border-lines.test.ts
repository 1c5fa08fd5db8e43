// @vitest-environment node
import { describe, expect, it } from 'vitest';
import { borderLines, borderSegments, chainEdges, smoothLine } from '../../../src/app/view/border-lines.ts';
import { splitByLabel } from '../../../src/app/view/display-mesh.ts';

/** A flat sheet of n x n squares of 1 mm, two triangles each, and a label per square. */
function sheet(n: number, labelAt: (column: number, row: number) => number) {
  const positions = new Float32Array(3 * (n + 1) * (n + 1));
  for (let r = 0; r <= n; r++) for (let c = 0; c <= n; c++) positions.set([c, r, 0], 3 * (r * (n + 1) + c));
  const triangles: number[] = [];
  const labels: number[] = [];
  for (let r = 0; r < n; r++) {
    for (let c = 0; c < n; c++) {
      const v = r * (n + 1) + c;
      triangles.push(v, v + 1, v + n + 2, v, v + n + 2, v + n + 1);
      labels.push(labelAt(c, r), labelAt(c, r));
    }
  }
  const normals = new Float32Array(positions.length);
  for (let i = 2; i < normals.length; i += 3) normals[i] = 1;
  const mesh = { positions, normals, triangles: Uint32Array.from(triangles) };
  const map = Uint8Array.from(labels);
  return { mesh, labels: map, shared: splitByLabel(mesh.triangles, positions.length / 3, map).shared };
}

describe('borderLines', () => {
  it('finds the straight border of two halves as one open line that stays straight', () => {
    const { mesh, labels, shared } = sheet(6, (c) => (c < 3 ? 11 : 21));
    const lines = borderLines(mesh, labels, shared);
    expect(lines).toHaveLength(1);
    expect(lines[0]).toMatchObject({ labelA: 11, labelB: 21, closed: false });
    expect(lines[0]!.points.length / 3).toBe(7);
    for (let i = 0; i < 7; i++) expect(lines[0]!.points[3 * i]).toBeCloseTo(3, 6);
  });

  it('finds the border of an island as one closed line around it', () => {
    const { mesh, labels, shared } = sheet(7, (c, r) => (c > 1 && c < 5 && r > 1 && r < 5 ? 11 : 0));
    const lines = borderLines(mesh, labels, shared);
    expect(lines).toHaveLength(1);
    expect(lines[0]!.closed).toBe(true);
    expect(new Set(lines[0]!.vertices).size).toBe(12);
    // Smoothing rounds the square's corners but keeps its middle at (3.5, 3.5).
    const mean = [0, 1].map(
      (k) => lines[0]!.points.filter((_, i) => i % 3 === k).reduce((s, x) => s + x, 0) / 12,
    );
    expect(mean[0]).toBeCloseTo(3.5, 5);
    expect(mean[1]).toBeCloseTo(3.5, 5);
  });

  it('cuts lines where three labels meet, and leaves that place where it is', () => {
    const { mesh, labels, shared } = sheet(6, (c, r) => (r < 3 ? 0 : c < 3 ? 11 : 21));
    const lines = borderLines(mesh, labels, shared);
    expect(lines.map((l) => `${l.labelA}/${l.labelB}`).sort()).toEqual(['0/11', '0/21', '11/21']);
    const junction = 3 * 7 + 3;
    for (const line of lines) {
      const end = line.vertices[0] === junction ? 0 : line.vertices.length - 1;
      expect([...line.points.subarray(3 * end, 3 * end + 3)]).toEqual([3, 3, 0]);
    }
  });

  it('moves surface vertices only along the surface', () => {
    const { mesh, labels, shared } = sheet(7, (c, r) => (c + r < 7 ? 11 : 21));
    mesh.positions.forEach((_, i) => {
      if (i % 3 === 2) mesh.positions[i] = 0.3 * ((i / 3) % 2);
    });
    const lines = borderLines(mesh, labels, shared);
    let slid = 0;
    for (const { vertices, points, onSurface } of lines) {
      vertices.forEach((v, i) => {
        expect(onSurface[3 * i + 2]).toBeCloseTo(mesh.positions[3 * v + 2]!, 6);
        slid = Math.max(slid, Math.abs(points[3 * i]! - mesh.positions[3 * v]!));
      });
    }
    expect(slid).toBeGreaterThan(0.1);
  });

  it('has no lines on a scan of one label', () => {
    const { mesh, labels, shared } = sheet(4, () => 0);
    expect(borderLines(mesh, labels, shared)).toEqual([]);
  });
});

describe('chainEdges', () => {
  it('uses every edge once, in open and closed chains', () => {
    const chains = chainEdges(Int32Array.of(1, 2, 3, 2, 3, 4, 10, 11, 12, 11, 12, 10));
    expect(chains.map((c) => c.closed).sort()).toEqual([false, true]);
    expect([...chains.find((c) => !c.closed)!.vertices]).toEqual([1, 2, 3, 4]);
    expect(chains.find((c) => c.closed)!.vertices).toHaveLength(3);
  });
});

describe('smoothLine', () => {
  it('takes a saw-tooth down and keeps the ends', () => {
    // x = 0, 1, 2 ... 40; y = 0, 1, 0, 1 ... 0
    const saw = Float32Array.from({ length: 3 * 41 }, (_, i) =>
      i % 3 === 0 ? i / 3 : i % 3 === 1 ? ((i - 1) / 3) % 2 : 0,
    );
    const smooth = smoothLine(saw, false, 12);
    expect([...smooth.subarray(0, 3)]).toEqual([0, 0, 0]);
    expect([...smooth.subarray(3 * 40)]).toEqual([40, 0, 0]);
    for (let i = 15; i < 25; i++) expect(smooth[3 * i + 1]).toBeCloseTo(0.5, 2);
  });
});

describe('borderSegments', () => {
  it('gives a border between teeth to both, a border to the gum to the tooth alone', () => {
    const line = (labelA: number, labelB: number, closed: boolean) => ({
      labelA,
      labelB,
      closed,
      vertices: Uint32Array.of(0, 1, 2),
      points: Float32Array.of(0, 0, 0, 1, 0, 0, 1, 1, 0),
      onSurface: new Float32Array(9),
    });
    const segments = borderSegments([line(0, 11, false), line(11, 21, true)]);
    expect([...segments.labels]).toEqual([11, 11, 11, 11, 11, 21, 21, 21]);
    expect([...segments.ends.subarray(6, 12)]).toEqual([1, 0, 0, 1, 1, 0]);
    // The closed line comes back to its start.
    expect([...segments.ends.subarray(24, 30)]).toEqual([1, 1, 0, 0, 0, 0]);
  });
});
