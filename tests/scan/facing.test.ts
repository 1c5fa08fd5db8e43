import { existsSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import { writeBinaryStl } from '../../fixtures/write-stl.ts';
import type { TriangleMesh } from '../../src/geometry/types.ts';
import { facesInwards, outwardShare, turnOver } from '../../src/scan/facing.ts';
import { readScan } from '../../src/scan/read-scan.ts';
import { sphereMesh } from '../helpers/closed-meshes.ts';

/** What of a mesh lies above z: open below. */
function above({ positions, triangles }: TriangleMesh, z: number): TriangleMesh {
  const kept: number[] = [];
  for (let i = 0; i < triangles.length; i += 3) {
    const corners = [...triangles.subarray(i, i + 3)];
    if (corners.every((v) => positions[3 * v + 2]! > z)) kept.push(...corners);
  }
  return { positions, triangles: Uint32Array.from(kept) };
}

const over = ({ positions, triangles }: TriangleMesh): TriangleMesh => {
  const turned = triangles.slice();
  turnOver(turned);
  return { positions, triangles: turned };
};

describe('outwardShare', () => {
  it('is one for a sphere inside one cell: offset and normal agree everywhere', () => {
    // x, y, z from 0.1 to 2.9: inside [0, 6) of the one grid and [-3, 3) of the other
    const share = outwardShare(sphereMesh(1.4, 4, [1.5, 1.5, 1.5]));
    expect(share).toBeGreaterThan(0.995);
    expect(share).toBeLessThan(1.0001);
  });

  it('is the negative of it when turned over, and nothing for a plane', () => {
    const dome = above(sphereMesh(5, 4), 0.5);
    expect(outwardShare(dome)).toBeGreaterThan(0.1);
    expect(outwardShare(over(dome))).toBeCloseTo(-outwardShare(dome), 9);
    expect([facesInwards(dome), facesInwards(over(dome))]).toEqual([false, true]);
    const plane = {
      positions: new Float32Array([0, 0, 0, 9, 0, 0, 9, 9, 0, 0, 9, 0]),
      triangles: new Uint32Array([0, 1, 2, 0, 2, 3]),
    };
    expect(Math.abs(outwardShare(plane))).toBeLessThan(1e-6);
  });

  it('says nothing of a mesh far coarser than a crown, as one read in inches: no cell shows a shape', () => {
    const { positions, triangles } = over(above(sphereMesh(20, 4), 0.5));
    expect(outwardShare({ positions: positions.map((x) => 25.4 * x), triangles })).toBe(0);
    expect(outwardShare({ positions, triangles })).toBeLessThan(-0.1);
  });

  it('does not judge what is too small to show a shape', () => {
    expect(facesInwards(over(above(sphereMesh(2, 4), 0.2)))).toBe(false);
  });

  it('asks more of a small piece than of a part of a jaw: a shallow hollow may be gum', () => {
    // a shallow bowl: 8 mm wide it is left alone, 22 mm wide, as part of a jaw, it is turned
    const bowl = (radius: number, z: number) => over(above(sphereMesh(radius, 5), z));
    expect(outwardShare(bowl(12, 11.2))).toBeLessThan(-0.05);
    expect(facesInwards(bowl(12, 11.2))).toBe(false);
    expect(facesInwards(bowl(12, 4))).toBe(true);
  });
});

describe('turnOver', () => {
  it('keeps every corner and changes the sense', () => {
    const triangles = new Uint32Array([0, 1, 2, 5, 4, 3]);
    turnOver(triangles);
    expect([...triangles]).toEqual([0, 2, 1, 5, 3, 4]);
  });
});

const data = fileURLToPath(new URL('../../../shared/data/', import.meta.url));
const present = existsSync(`${data}real/arch-upper/scan.stl`);
if (!present) console.warn('../shared/data is absent: no scan of teeth is turned over in these tests');

describe.runIf(present)('scans of teeth', () => {
  it.each([
    'real/arch-upper/scan.stl',
    'synthetic/upper-three-spaces/scan.ply',
    'synthetic/lower-all-closed/scan.ply',
    'synthetic/upper-blunt-scanner/scan.ply',
  ])('%s is left as it is, and turned back with a word when it comes turned over', async (file) => {
    const said = (scan: Awaited<ReturnType<typeof readScan>>) =>
      scan.health.findings.filter(({ code }) => code === 'TURNED_OVER').map(({ severity }) => severity);
    const scan = await readScan(readFileSync(`${data}${file}`), { fileName: file, unit: 'mm' });
    expect(said(scan)).toEqual([]);
    expect(outwardShare(scan)).toBeGreaterThan(0.1);
    const back = await readScan(writeBinaryStl(over(scan)), { fileName: 'turned.stl', unit: 'mm' });
    expect(said(back)).toEqual(['warning']);
    expect(outwardShare(back)).toBeCloseTo(outwardShare(scan), 6);
  });
});
