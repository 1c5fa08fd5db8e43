import type { FitScan } from '../../src/contacts/fit-types.ts';
import type { TriangleMesh, Vec3 } from '../../src/geometry/types.ts';
import type { OcclusalFrame } from '../../src/teeth/types.ts';
import { sphereMesh } from './closed-meshes.ts';

export const RADIUS = 4;
export const FRAME: OcclusalFrame = { origin: [0, 0, 3], x: [1, 0, 0], y: [0, 1, 0], z: [0, 0, 1] };
export const TARGET = { wideMm: 0, tightMm: -0.03 };

/** Balls of 23 and 25 as scanned teeth, and a ball of 24 between them with the given spaces. Lower half cut off. */
export function ballScene(
  mesialMm: number,
  distalMm: number,
  middle: Vec3 = [0, 0, 0],
): {
  readonly restoration: TriangleMesh;
  readonly scan: FitScan;
} {
  const left: Vec3 = [-2 * RADIUS - mesialMm, 0, 0];
  const right: Vec3 = [2 * RADIUS + distalMm, 0, 0];
  const parts = [sphereMesh(RADIUS, 4, left), sphereMesh(RADIUS, 4, right)];
  const positions: number[] = [];
  const triangles: number[] = [];
  const labels: number[] = [];
  for (const [k, part] of parts.entries()) {
    const shift = positions.length / 3;
    positions.push(...part.positions);
    for (let f = 0; f < part.triangles.length; f += 3) {
      const corners = part.triangles.subarray(f, f + 3);
      // An open scan: nothing below the gum line.
      if ([...corners].every((v) => part.positions[3 * v + 2]! < -2.5)) continue;
      triangles.push(...[...corners].map((v) => v + shift));
      labels.push(k === 0 ? 23 : 25);
    }
  }
  const mesh: TriangleMesh = {
    positions: Float32Array.from(positions),
    triangles: Uint32Array.from(triangles),
  };
  const centres = new Map<number, Vec3>([
    [23, left],
    [25, right],
  ]);
  return {
    restoration: sphereMesh(RADIUS, 4, middle),
    scan: {
      mesh,
      labels: Uint8Array.from(labels),
      jaw: 'upper' as const,
      frame: FRAME,
      centres,
      missing: [],
    },
  };
}

/** A scene as the lower left side: right and left exchanged, so that its frame is left-handed (x left, y front, z up). */
export function inLowerJaw({
  restoration,
  scan,
}: ReturnType<typeof ballScene>): ReturnType<typeof ballScene> {
  const across = ([x, y, z]: Vec3): Vec3 => [-x, y, z];
  const turned = ({ positions, triangles }: TriangleMesh): TriangleMesh => ({
    positions: positions.map((x, i) => (i % 3 === 0 ? -x : x)),
    // A mirror turns the surface inside out.
    triangles: triangles.map((_, i) => triangles[i - (i % 3) + [0, 2, 1][i % 3]!]!),
  });
  const { origin, y, z } = scan.frame;
  return {
    restoration: turned(restoration),
    scan: {
      ...scan,
      mesh: turned(scan.mesh),
      labels: scan.labels.map((label) => label + 10),
      jaw: 'lower',
      frame: { origin: across(origin), x: [-1, 0, 0], y, z },
      centres: new Map([...scan.centres].map(([tooth, at]) => [tooth + 10, across(at)])),
    },
  };
}
