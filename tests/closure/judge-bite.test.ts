import { readdirSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import { type Bite, judgeBite } from '../../src/closure/judge-bite.ts';
import { cancelledError } from '../../src/geometry/archgap-error.ts';
import { indexSurface } from '../../src/geometry/surface-index.ts';
import type { TriangleMesh, Vec3 } from '../../src/geometry/types.ts';
import { boxMesh } from '../helpers/closed-meshes.ts';
import { syntheticDataPresent } from '../helpers/synthetic-case.ts';
import { twoBalls } from './two-balls.ts';

const { analysis, mesh, labels } = twoBalls();

const against = (opposing: TriangleMesh, shiftMm: Vec3 = [0, 0, 0]): Promise<Bite> =>
  judgeBite({
    mesh,
    labels,
    analysis,
    opposing: { mesh: opposing, surface: indexSurface(opposing) },
    shiftMm,
  });

/** A block over the two balls, whose tops lie at z = 3, from this height on. */
const blockFrom = (z: number): TriangleMesh => boxMesh([-8, -5, z], [8, 5, z + 6]);

describe('whether two arches can lie in one frame as they bite', () => {
  it('a block that lies on both crowns, or a little in or off, meets them', async () => {
    for (const z of [3, 2.5, 3.5]) {
      expect(await against(blockFrom(z))).toMatchObject({
        verdict: 'meets',
        crowns: 2,
        meeting: 2,
        deep: 0,
        deepestMm: 0,
      });
    }
  });

  it('a block that no crown comes near is apart, with the distance', async () => {
    const bite = await against(blockFrom(4.5));
    expect(bite).toMatchObject({ verdict: 'apart', meeting: 0, deep: 0 });
    expect(bite.nearestMm!).toBeGreaterThanOrEqual(1.5);
    expect(bite.nearestMm!).toBeLessThan(1.52);
    expect(await against(blockFrom(40))).toMatchObject({ verdict: 'apart', nearestMm: null });
  });

  it('a block into which both crowns run is crossed, with the depth', async () => {
    const bite = await against(blockFrom(1.2));
    expect(bite).toMatchObject({ verdict: 'crosses', meeting: 2, deep: 2 });
    expect(bite.deepestMm).toBeLessThanOrEqual(1.8);
    expect(bite.deepestMm).toBeGreaterThan(1.75);
  });

  it('one crown that is deep inside is no finding yet', async () => {
    const overOne = boxMesh([-8, -5, 1.2], [0, 5, 7]);
    const overOther = boxMesh([0, -5, 3], [8, 5, 7]);
    const count = overOne.positions.length / 3;
    const steps = {
      positions: Float32Array.from([...overOne.positions, ...overOther.positions]),
      triangles: Uint32Array.from([...overOne.triangles, ...overOther.triangles.map((v) => v + count)]),
    };
    expect(await against(steps)).toMatchObject({ verdict: 'meets', meeting: 2, deep: 1 });
  });

  it('an arch whose crowns point the way of these faces alike', async () => {
    expect((await against(mesh)).verdict).toBe('faces-alike');
    expect((await against(mesh, [0.4, 0.3, 2])).verdict).toBe('faces-alike');
    // One that bites, but inside out, looks the same: the sentence says both.
    const block = blockFrom(3);
    const insideOut = { ...block, triangles: block.triangles.toReversed() };
    expect((await against(insideOut)).verdict).toBe('faces-alike');
  });

  it('the opposing scan may have an origin of its own', async () => {
    const far = boxMesh([-8 + 100, -5, 3 - 40], [8 + 100, 5, 9 - 40]);
    expect(await against(far, [100, 0, -40])).toMatchObject({ verdict: 'meets', meeting: 2 });
  });

  it('stops when it is told to', async () => {
    const stop = {
      checkpoint: async (): Promise<void> => {
        throw cancelledError();
      },
    };
    const opposing = blockFrom(3);
    const input = { mesh, labels, analysis, opposing: { mesh: opposing, surface: indexSurface(opposing) } };
    await expect(judgeBite({ ...input, shiftMm: [0, 0, 0] }, stop)).rejects.toMatchObject({
      code: 'CANCELLED',
    });
  });
});

const crownsFolder = fileURLToPath(new URL('../../../shared/data/real/', import.meta.url));

/** The crowns of one jaw, with x to the patient's left, y to the front, z towards their tops. */
function readCrowns(jaw: 'upper' | 'lower'): { mesh: TriangleMesh; labels: Uint8Array } {
  const positions: number[] = [];
  const labels: number[] = [];
  for (const name of readdirSync(`${crownsFolder}crowns-${jaw}`).filter((file) => file.endsWith('.stl'))) {
    const bytes = readFileSync(`${crownsFolder}crowns-${jaw}/${name}`);
    for (let t = 0; t < bytes.readUInt32LE(80); t += 1) {
      labels.push(Number.parseInt(name, 10));
      for (let k = 0; k < 3; k += 1) {
        const at = 84 + 50 * t + 12 + 12 * k;
        positions.push(bytes.readFloatLE(at), bytes.readFloatLE(at + 8), -bytes.readFloatLE(at + 4));
      }
    }
  }
  return {
    mesh: {
      positions: Float32Array.from(positions),
      triangles: Uint32Array.from({ length: positions.length / 3 }, (_, i) => i),
    },
    labels: Uint8Array.from(labels),
  };
}

function moved({ positions, triangles }: TriangleMesh, motion: (p: Vec3) => Vec3): TriangleMesh {
  const out = new Float32Array(positions.length);
  for (let i = 0; i < out.length; i += 3) {
    out.set(motion([positions[i]!, positions[i + 1]!, positions[i + 2]!]), i);
  }
  return { positions: out, triangles };
}

const present = syntheticDataPresent();

/**
 * Real crowns of one patient, each jaw exported in a frame of its own. They bite nowhere in these files: here the lower
 * ones are turned over and laid on the upper ones where most of them come near (found by a search over heights).
 */
describe.skipIf(!present)('real crowns laid on each other', () => {
  const { upper, lower } = present
    ? { upper: readCrowns('upper'), lower: readCrowns('lower').mesh }
    : { upper: { mesh, labels }, lower: mesh };
  const bitten = (byMm: Vec3 = [0, 0, 0]): TriangleMesh =>
    moved(lower, ([x, y, z]) => {
      const [px, py, pz] = [-x, y, -z];
      const [c, s] = [Math.cos(0.008), Math.sin(0.008)];
      return [
        c * px - s * py - 2.813 + byMm[0],
        s * px + c * py + 7.978 + byMm[1],
        pz + 0.026 * py + 7.3 + byMm[2],
      ];
    });
  const judged = (opposing: TriangleMesh): Promise<Bite> =>
    judgeBite({
      ...upper,
      analysis: { ...analysis, frame: { ...analysis.frame, z: [0, 0, 1] } },
      opposing: { mesh: opposing, surface: indexSurface(opposing) },
      shiftMm: [0, 0, 0],
    });

  it('meet; as exported they face alike; lifted or pressed in by 3 mm they do not bite', async () => {
    const bite = await judged(bitten());
    expect(bite).toMatchObject({ verdict: 'meets', crowns: 14, deep: 0 });
    expect(bite.meeting).toBeGreaterThanOrEqual(6);
    expect((await judged(lower)).verdict).toBe('faces-alike');
    expect((await judged(bitten([0, 0, 3]))).verdict).toBe('apart');
    expect((await judged(bitten([0, 0, -3]))).verdict).toBe('crosses');
  });

  it('what it cannot tell: a shift of 5 mm to the side meets, too', async () => {
    expect((await judged(bitten([5, 0, 0]))).verdict).toBe('meets');
  });
});
