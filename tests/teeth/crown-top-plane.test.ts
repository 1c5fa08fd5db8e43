import { EigenvalueDecomposition, Matrix } from 'ml-matrix';
import { describe, expect, it } from 'vitest';
import type { TriangleMesh, Vec3 } from '../../src/geometry/types.ts';
import { add, cross, dot, normalize, scale, sub, vertexAt } from '../../src/geometry/vec3.ts';
import { templatePlace } from '../../src/teeth/arch-template.ts';
import { crownTopPlane } from '../../src/teeth/crown-top-plane.ts';
import { archOrder } from '../../src/teeth/notation.ts';
import { prepareTeeth } from '../../src/teeth/prepare-teeth.ts';
import { segmentTeeth } from '../../src/teeth/segment-teeth.ts';
import type { Jaw, OcclusalFrame, Segmentation } from '../../src/teeth/types.ts';
import { sphereMesh } from '../helpers/closed-meshes.ts';
import { readLabelledCase, sharedDataPresent } from './shared-scans.ts';

const RADIUS_MM = 3;
/** Mean depth of the highest 0.5 mm^2 of a ball of 3 mm below its top: half of A / (2 pi R). */
const CAP_MM = 0.5 / (2 * Math.PI * RADIUS_MM) / 2;

/** Balls on a textbook arch, tops in z = 0 when nothing is sunk; x left, y front, z to the tops. */
function ballArch(teeth: readonly number[], jaw: Jaw, sunkMm: ReadonlyMap<number, number> = new Map()) {
  const positions: number[] = [];
  const triangles: number[] = [];
  const labels: number[] = [];
  for (const tooth of teeth) {
    const [x, y] = templatePlace(tooth, jaw);
    const ball = sphereMesh(RADIUS_MM, 4, [x, y, -RADIUS_MM - (sunkMm.get(tooth) ?? 0)]);
    const base = positions.length / 3;
    positions.push(...ball.positions);
    triangles.push(...Array.from(ball.triangles, (v) => v + base));
    for (let f = 0; f < ball.triangles.length / 3; f++) labels.push(tooth);
  }
  const mesh: TriangleMesh = {
    positions: Float32Array.from(positions),
    triangles: Uint32Array.from(triangles),
  };
  return { mesh, labels: Uint8Array.from(labels) };
}

/** A frame whose axis leans by so many degrees to the front and to the left. */
function leaning(degrees: number): OcclusalFrame {
  const s = Math.sin((degrees * Math.PI) / 180);
  const z = normalize([0.6 * s, 0.8 * s, Math.sqrt(1 - s * s)]);
  const x = normalize(cross([0, 1, 0], z));
  return { origin: [3, 30, -2], x, y: cross(z, x), z };
}

const degreesBetween = (a: Vec3, b: Vec3): number =>
  (Math.acos(Math.min(1, dot(normalize(a), normalize(b)))) * 180) / Math.PI;

const WHOLE = archOrder('upper').filter((tooth) => tooth % 10 < 8);

describe('crownTopPlane', () => {
  it('finds the plane of the tops from an axis 12 degrees off, and puts the origin on it', () => {
    const { mesh, labels } = ballArch(WHOLE, 'upper');
    const { frame, basis, centres } = crownTopPlane(mesh, labels, leaning(12), 'upper')!;
    expect(basis).toBe('crown-tops');
    expect(degreesBetween(frame.z, [0, 0, 1])).toBeLessThan(0.05);
    expect(degreesBetween(frame.x, [1, 0, 0])).toBeLessThan(0.1);
    expect(degreesBetween(frame.y, [0, 1, 0])).toBeLessThan(0.1);
    expect(frame.origin[2]).toBeCloseTo(-CAP_MM, 2);
    expect(centres.map(({ tooth }) => tooth)).toEqual(WHOLE);
    expect(centres[0]!.point[2]).toBeCloseTo(-RADIUS_MM, 3);
  });

  it('a sunk molar and a sunk incisor do not tilt it', () => {
    const { mesh, labels } = ballArch(
      WHOLE,
      'upper',
      new Map([
        [17, 3],
        [12, 2],
      ]),
    );
    const { frame } = crownTopPlane(mesh, labels, leaning(8), 'upper')!;
    expect(degreesBetween(frame.z, [0, 0, 1])).toBeLessThan(0.4);
    expect(Math.abs(frame.origin[2])).toBeLessThan(0.12);
  });

  it('keeps the three meanings in a lower jaw, where they are left-handed', () => {
    const teeth = archOrder('lower').filter((tooth) => tooth % 10 < 8);
    const { mesh, labels } = ballArch(teeth, 'lower');
    // Mirrored at the plane x = 0 the same arch is that of a lower jaw seen in a right-handed space.
    const mirrored = { ...mesh, positions: mesh.positions.map((p, k) => (k % 3 === 0 ? -p : p)) };
    const { frame } = crownTopPlane(mirrored, labels, { ...leaning(5), x: [-1, 0, 0] }, 'lower')!;
    expect(degreesBetween(frame.z, [0, 0, 1])).toBeLessThan(0.05);
    expect(degreesBetween(frame.x, [-1, 0, 0])).toBeLessThan(0.1);
    expect(degreesBetween(frame.y, [0, 1, 0])).toBeLessThan(0.1);
  });

  it('too few teeth, or teeth in a line, keep the axis and say so; the origin still lies at the tops', () => {
    for (const teeth of [[11], [13, 12, 11, 21], [17, 16, 15, 14]]) {
      const { mesh, labels } = ballArch(teeth, 'upper');
      const before = leaning(0);
      const { frame, basis } = crownTopPlane(mesh, labels, before, 'upper')!;
      expect(basis).toBe('surface');
      expect(frame.z).toEqual(before.z);
      expect(frame.origin[2]).toBeCloseTo(-CAP_MM, 2);
    }
    const { mesh, labels } = ballArch([11], 'upper');
    expect(crownTopPlane(mesh, labels.fill(0), leaning(0), 'upper')).toBeNull();
  });

  it('a finer mesh has the same tops', () => {
    const { mesh, labels } = ballArch(WHOLE, 'upper');
    const coarse = crownTopPlane(mesh, labels, leaning(3), 'upper')!;
    const one = sphereMesh(RADIUS_MM, 5, [0, 0, 0]);
    const parts = WHOLE.map((tooth) => {
      const [x, y] = templatePlace(tooth, 'upper');
      return one.positions.map((p, k) => p + [x, y, -RADIUS_MM][k % 3]!);
    });
    const count = one.positions.length / 3;
    const fineMesh = {
      positions: Float32Array.from(parts.flatMap((part) => [...part])),
      triangles: Uint32Array.from(WHOLE.flatMap((_, t) => [...one.triangles].map((v) => v + t * count))),
    };
    const fineLabels = Uint8Array.from(
      WHOLE.flatMap((tooth) => Array<number>(one.triangles.length / 3).fill(tooth)),
    );
    const fine = crownTopPlane(fineMesh, fineLabels, leaning(3), 'upper')!;
    expect(Math.abs(fine.frame.origin[2] - coarse.frame.origin[2])).toBeLessThan(0.03);
  });
});

/** Independent of the product: plane of least squares through each labelled crown's highest vertices, axis found in rounds. */
function planeOfTops(mesh: TriangleMesh, labels: Uint8Array, start: Vec3): { z: Vec3; middle: Vec3 } {
  const vertices = new Map<number, Set<number>>();
  labels.forEach((label, f) => {
    if (label < 11 || label > 48) return;
    const own = vertices.get(label) ?? new Set<number>();
    for (let k = 0; k < 3; k++) own.add(mesh.triangles[3 * f + k]!);
    vertices.set(label, own);
  });
  let z = start;
  let middle: Vec3 = [0, 0, 0];
  for (let round = 0; round < 12; round++) {
    const tops = [...vertices.values()].map((own) => {
      const sorted = [...own]
        .map((v) => vertexAt(mesh.positions, v))
        .sort((a, b) => dot(b, z) - dot(a, z))
        .slice(0, 8);
      return scale(
        sorted.reduce((sum, p) => add(sum, p), [0, 0, 0] as Vec3),
        1 / sorted.length,
      );
    });
    middle = scale(
      tops.reduce((sum, p) => add(sum, p), [0, 0, 0] as Vec3),
      1 / tops.length,
    );
    const rows = new Matrix(tops.map((top) => [...sub(top, middle)]));
    const eigen = new EigenvalueDecomposition(rows.transpose().mmul(rows), { assumeSymmetric: true });
    const least = eigen.realEigenvalues.indexOf(Math.min(...eigen.realEigenvalues));
    const column = eigen.eigenvectorMatrix.getColumn(least) as unknown as Vec3;
    z = dot(column, z) < 0 ? scale(column, -1) : column;
  }
  return { z, middle };
}

describe.runIf(sharedDataPresent())('the frame of segmentTeeth on labelled scans', () => {
  for (const name of [
    'real/arch-upper',
    'synthetic/upper-three-spaces',
    'synthetic/lower-all-closed',
  ] as const) {
    it(`${name}: the plane of the crowns' tops, whichever clicks`, async () => {
      const { scan, truth, clicks, facts } = readLabelledCase(name);
      const base = await prepareTeeth(scan);
      const made: Segmentation[] = [...clicks.values()].map((set) => segmentTeeth(base, set));
      for (const { frame, frameBasis } of made) {
        expect(frameBasis).toBe('crown-tops');
        const tops = planeOfTops(scan, truth, frame.z);
        const off = degreesBetween(frame.z, tops.z);
        expect(off).toBeLessThan(3);
        expect(Math.abs(dot(sub(tops.middle, frame.origin), frame.z))).toBeLessThan(0.6);
        const tilt = facts ? degreesBetween(frame.z, facts.occlusal_direction) : null;
        console.log(`${name}: ${off.toFixed(2)} deg to the tops, ${tilt?.toFixed(2) ?? '-'} to truth`);
        if (tilt !== null) expect(tilt).toBeLessThan(1.5);
      }
      const [one, two] = made;
      if (!one || !two) return;
      for (const { point } of clicks.get('clicks.json')!.clicks) {
        const heights = [one, two].map(({ frame }) => dot(sub(point, frame.origin), frame.z));
        expect(Math.abs(heights[0]! - heights[1]!)).toBeLessThan(0.1);
      }
    });
  }
});
