import { existsSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import type { TriangleMesh, Vec3 } from '../../src/geometry/types.ts';
import { cross, dot, scale, sub } from '../../src/geometry/vec3.ts';
import { type ArchCurve, fitArchCurve } from '../../src/teeth/arch-curve.ts';
import { toothSortIndex } from '../../src/teeth/notation.ts';
import type { ClickSet, Jaw, OcclusalFrame, ToothMap } from '../../src/teeth/types.ts';

/*
 * Reads one case of the data that lies beside the project, on its own: a reader of just that PLY dialect, so that
 * the tests of the measurement do not lean on the project's reader.
 */

export const SYNTHETIC_CASES = [
  'upper-three-spaces',
  'lower-all-closed',
  'upper-follow-up',
  'upper-blunt-scanner',
] as const;

const folder = fileURLToPath(new URL('../../../shared/data/synthetic/', import.meta.url));

/** Whether the data folder is there; says so on the console when it is not. */
export function syntheticDataPresent(): boolean {
  const present = existsSync(`${folder}upper-three-spaces/scan.ply`);
  if (!present) console.warn('../shared/data/synthetic is absent: the tests on synthetic scans do not run');
  return present;
}

export interface TruePair {
  readonly a: number;
  readonly b: number;
  readonly true_gap_mm: number;
  readonly scan_gap_mm: number;
  readonly state: 'open' | 'partly bridged' | 'bridged' | 'closed';
  readonly witness_a: Vec3;
  readonly witness_b: Vec3;
}

export interface SyntheticCase {
  readonly mesh: TriangleMesh;
  readonly labels: ToothMap;
  readonly jaw: Jaw;
  readonly frame: OcclusalFrame;
  readonly curve: ArchCurve;
  readonly clicks: ClickSet;
  /** Tooth numbers in arch order. */
  readonly teeth: readonly number[];
  readonly pairs: readonly TruePair[];
}

function readPly(bytes: Buffer): TriangleMesh {
  const headerEnd = bytes.indexOf('end_header\n') + 'end_header\n'.length;
  const header = bytes.subarray(0, headerEnd).toString('latin1');
  const n = Number(/element vertex (\d+)/.exec(header)![1]);
  const m = Number(/element face (\d+)/.exec(header)![1]);
  const positions = new Float32Array(3 * n);
  const triangles = new Uint32Array(3 * m);
  for (let i = 0; i < n; i += 1) {
    for (let k = 0; k < 3; k += 1) positions[3 * i + k] = bytes.readFloatLE(headerEnd + 15 * i + 4 * k);
  }
  const faces = headerEnd + 15 * n;
  for (let i = 0; i < m; i += 1) {
    for (let k = 0; k < 3; k += 1) triangles[3 * i + k] = bytes.readInt32LE(faces + 13 * i + 1 + 4 * k);
  }
  return { positions, triangles };
}

/** A triangle takes the label that at least two of its corners share; crumbs are nothing. */
function triangleLabels(mesh: TriangleMesh, perVertex: Uint8Array): ToothMap {
  const labels = new Uint8Array(mesh.triangles.length / 3);
  for (let t = 0; t < labels.length; t += 1) {
    const [a, b, c] = [0, 1, 2].map((k) => perVertex[mesh.triangles[3 * t + k]!]!) as [
      number,
      number,
      number,
    ];
    const label = a === b || a === c ? a : b === c ? b : 0;
    labels[t] = label === 255 ? 0 : label;
  }
  return labels;
}

export function readSyntheticCase(name: (typeof SYNTHETIC_CASES)[number]): SyntheticCase {
  const mesh = readPly(readFileSync(`${folder}${name}/scan.ply`));
  const labels = triangleLabels(mesh, readFileSync(`${folder}${name}/labels.u8`));
  const truth = JSON.parse(readFileSync(`${folder}${name}/truth.json`, 'utf8'));
  const file = JSON.parse(readFileSync(`${folder}${name}/clicks.json`, 'utf8'));
  const jaw: Jaw = truth.arch;
  const centreOf = new Map<number, Vec3>();
  for (const tooth of truth.teeth) centreOf.set(tooth.iso, tooth.centre);
  const teeth = [...centreOf.keys()].sort((a, b) => toothSortIndex(a) - toothSortIndex(b));
  const centres = teeth.map((tooth) => centreOf.get(tooth)!);
  const z: Vec3 = truth.occlusal_direction;
  const y: Vec3 = truth.anterior_direction;
  const left = sub(centres.at(-1)!, centres[0]!);
  const side = cross(y, z);
  const x = dot(side, left) >= 0 ? side : scale(side, -1);
  const origin = scale(
    centres.reduce<Vec3>((s, c) => [s[0] + c[0], s[1] + c[1], s[2] + c[2]], [0, 0, 0]),
    1 / centres.length,
  );
  const frame: OcclusalFrame = { origin, x, y, z };
  return {
    mesh,
    labels,
    jaw,
    frame,
    curve: fitArchCurve(frame, centres),
    clicks: {
      jaw,
      clicks: file.clicks.map((c: { tooth: string; point: Vec3 }) => ({
        tooth: c.tooth === 'gum' ? 'gum' : Number(c.tooth),
        point: c.point,
      })),
      missing: (file.missing ?? []).map(Number),
      fixed: (file.fixed ?? []).map(Number),
    },
    teeth,
    pairs: truth.pairs,
  };
}
