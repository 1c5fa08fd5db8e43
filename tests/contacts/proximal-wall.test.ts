import { describe, expect, it } from 'vitest';
import { prepareArchSurface } from '../../src/contacts/arch-surface.ts';
import type { ContactFrame } from '../../src/contacts/contact-frame.ts';
import { pairBorders, proximalWall, wallRegion } from '../../src/contacts/proximal-wall.ts';
import { webBetween } from '../../src/contacts/web-between.ts';
import { makeWallPair, sphereWall } from '../helpers/wall-pair.ts';

const FRAME: ContactFrame = { t: [1, 0, 0], o: [0, 0, 1], b: [0, 1, 0] };

function walls() {
  const { mesh, labels } = makeWallPair({
    a: sphereWall(2.5),
    b: sphereWall(2.5),
    gapMm: 0.3,
    edgeMm: 0.15,
    noiseMm: 0,
    halfSizeMm: 1.7,
    seed: 1,
  });
  const gum = labels.map((label, t) => (mesh.positions[3 * mesh.triangles[3 * t]! + 2]! < -1 ? 0 : label));
  const arch = prepareArchSurface(mesh, gum);
  const [a, b] = [arch.teeth.get(11)!, arch.teeth.get(21)!];
  const borders = pairBorders(a, b, webBetween(arch, 11, 21, FRAME));
  return { mesh, arch, a, b, borders };
}

describe('proximalWall', () => {
  it('is the part within 60 degrees of the direction to the neighbour', () => {
    const { mesh, arch, a, borders } = walls();
    const wall = proximalWall(arch, a, FRAME, 1, borders);
    const edge = 2.5 * Math.sin(Math.PI / 3);
    expect(wall.vertices.length).toBeGreaterThan(100);
    const outside = [...a.vertices].filter((v) => !wall.vertices.includes(v));
    for (const v of wall.vertices) {
      expect(Math.hypot(mesh.positions[3 * v + 1]!, mesh.positions[3 * v + 2]!)).toBeLessThan(edge + 0.1);
    }
    for (const v of outside) {
      expect(Math.hypot(mesh.positions[3 * v + 1]!, mesh.positions[3 * v + 2]!)).toBeGreaterThan(edge - 0.2);
    }
    expect(proximalWall(arch, a, FRAME, -1, borders).vertices).toHaveLength(0);
  });

  it('a region keeps its distance from gum; its triangles have only usable corners', () => {
    const { mesh, arch, b, borders } = walls();
    const wall = proximalWall(arch, b, FRAME, -1, borders);
    const region = wallRegion(arch, wall, { gumMm: 0.4, webMm: 0, facing: 0.5 });
    const all = wallRegion(arch, wall, { gumMm: 0, webMm: 0, facing: 0.5 });
    expect(region.places.length).toBeGreaterThan(50);
    expect(region.places.length).toBeLessThan(all.places.length);
    for (const t of region.triangles) {
      for (let k = 0; k < 3; k += 1) {
        // gum lies below z = -1, measured along the wall the margin is at least this far above it
        expect(mesh.positions[3 * mesh.triangles[3 * t + k]! + 2]!).toBeGreaterThan(-1 + 0.1);
      }
    }
  });
});
