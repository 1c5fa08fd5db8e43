import { describe, expect, it } from 'vitest';
import type { ArchSurface, ToothSurface } from '../../src/contacts/arch-surface.ts';
import type { ContactFrame } from '../../src/contacts/contact-frame.ts';
import { touchingWalls } from '../../src/contacts/touching-walls.ts';
import type { Web } from '../../src/contacts/web-between.ts';
import type { Vec3 } from '../../src/geometry/types.ts';

/*
 * Two balls that touch at the origin, A of radius 4 to the left, B of radius 2.5 to the right; a ring of web of radius
 * 0.9 round the contact hides everything nearer to it than 1.2 mm.
 */
const RADIUS_A = 4;
const RADIUS_B = 2.5;
const RING_MM = 0.9;
const SEEN_FROM_MM = 1.2;

interface Scene {
  readonly surface: ArchSurface;
  readonly a: ToothSurface;
  readonly b: ToothSurface;
  readonly frame: ContactFrame;
  readonly web: Web;
}

const depth = (radius: number, r: number) => radius - Math.sqrt(radius * radius - r * r);

function touchingBalls(turn: (p: Vec3) => Vec3 = (p) => p): Scene {
  const positions: number[] = [];
  const normals: number[] = [];
  const vertices: number[][] = [[], []];
  for (const [wall, radius] of [RADIUS_A, RADIUS_B].entries()) {
    const side = wall === 0 ? 1 : -1;
    for (let y = -1.9; y <= 1.9; y += 0.1) {
      for (let z = -1.9; z <= 1.9; z += 0.1) {
        const r = Math.hypot(y, z);
        if (r < SEEN_FROM_MM || r > 1.9) continue;
        const x = -side * depth(radius, r);
        vertices[wall]!.push(positions.length / 3);
        positions.push(...turn([x, y, z]));
        normals.push(...turn([(x + side * radius) / radius, y / radius, z / radius]));
      }
    }
  }
  const ridge: number[] = [];
  for (let k = 0; k < 40; k += 1) {
    const angle = (2 * Math.PI * k) / 40;
    const x = (depth(RADIUS_B, RING_MM) - depth(RADIUS_A, RING_MM)) / 2;
    ridge.push(...turn([x, RING_MM * Math.cos(angle), RING_MM * Math.sin(angle)]));
  }
  const tooth = (wall: number): ToothSurface => ({
    tooth: 11 + 10 * wall,
    triangles: new Uint32Array(0),
    vertices: Uint32Array.from(vertices[wall]!),
    gumLine: new Float64Array(0),
    cutLine: new Float64Array(0),
  });
  return {
    surface: {
      mesh: { positions: Float32Array.from(positions), triangles: new Uint32Array(0) },
      adjacency: new Int32Array(0),
      labels: new Uint8Array(0),
      normals: Float32Array.from(normals),
      teeth: new Map(),
    },
    a: tooth(0),
    b: tooth(1),
    frame: { t: turn([1, 0, 0]), b: turn([0, 1, 0]), o: turn([0, 0, 1]) },
    web: {
      state: 'full',
      ridge: Float64Array.from(ridge),
      border: Float64Array.from(ridge),
      papilla: new Float64Array(0),
      doubtful: null,
      heightMm: 2 * RING_MM,
      widthMm: 2 * RING_MM,
      middle: turn([0, 0, 0]),
    },
  };
}

const carry = ({ surface, a, b, frame, web }: Scene) => touchingWalls(surface, a, b, frame, web);

describe('touchingWalls', () => {
  it('carries both walls on to where they touch', () => {
    const walls = carry(touchingBalls())!;
    // The ridge itself lies on the flatter ball's far side of the contact: its middle is 0.03 mm off.
    expect(Math.abs(walls.outermost('A', [1, 0, 0]))).toBeLessThan(0.01);
    expect(Math.abs(walls.outermost('B', [-1, 0, 0]))).toBeLessThan(0.01);
  });

  it('finds the outermost place along another direction: the support of the ball', () => {
    const walls = carry(touchingBalls())!;
    const tilt = 0.1;
    const out: Vec3 = [Math.cos(tilt), Math.sin(tilt), 0];
    const support = RADIUS_A * (1 - Math.cos(tilt));
    expect(walls.outermost('A', out)).toBeCloseTo(support, 1.7);
  });

  it('moves with the scan', () => {
    // about x by one angle, then about z by another
    const turn = ([x, y, z]: Vec3): Vec3 => {
      const [c, s, d, e] = [Math.cos(0.7), Math.sin(0.7), Math.cos(2.1), Math.sin(2.1)];
      const [v, w] = [c * y - s * z, s * y + c * z];
      return [d * x - e * v, e * x + d * v, w];
    };
    const moved = carry(touchingBalls(turn))!;
    expect(moved.outermost('A', turn([1, 0, 0]))).toBeCloseTo(
      carry(touchingBalls())!.outermost('A', [1, 0, 0]),
      4,
    );
  });

  it('says nothing without a web, or where too little of a wall is seen', () => {
    const scene = touchingBalls();
    const none: Web = { ...scene.web, state: 'none', middle: null, widthMm: null, heightMm: null };
    expect(carry({ ...scene, web: none })).toBeNull();
    expect(carry({ ...scene, b: { ...scene.b, vertices: scene.b.vertices.slice(0, 20) } })).toBeNull();
    // gum next to the wall: none of it is the tooth's
    expect(
      carry({ ...scene, a: { ...scene.a, gumLine: Float64Array.from(scene.surface.mesh.positions) } }),
    ).toBeNull();
  });
});
