import { describe, expect, it } from 'vitest';
import { crownAxes } from '../../src/contacts/crown-axes.ts';
import { rotateDirection, rotationAbout } from '../../src/geometry/rigid.ts';
import type { Vec3 } from '../../src/geometry/types.ts';
import { dot, normalize } from '../../src/geometry/vec3.ts';

/** Normals of the side walls of an elliptic cylinder, or of a box with rounded edges (power above 2). */
function walls(a: number, b: number, power: number): Vec3[] {
  const normals: Vec3[] = [];
  const n = 360;
  for (let k = 0; k < n; k += 1) {
    const angle = (2 * Math.PI * k) / n;
    const [c, s] = [Math.cos(angle), Math.sin(angle)];
    const x = Math.sign(c) * Math.abs(c) ** (2 / power);
    const y = Math.sign(s) * Math.abs(s) ** (2 / power);
    const normal = normalize([
      Math.sign(x) * (Math.abs(x) ** (power - 1) / a),
      Math.sign(y) * (Math.abs(y) ** (power - 1) / b),
      0,
    ]);
    // A little taper up and down, alike all around.
    for (const tilt of [-0.2, 0, 0.2]) normals.push(normalize([normal[0], normal[1], tilt]));
  }
  return normals;
}

const degrees = (a: Vec3, b: Vec3) => (Math.acos(Math.min(1, Math.abs(dot(a, b)))) * 180) / Math.PI;
const turned = (normals: readonly Vec3[], axis: Vec3, deg: number) =>
  normals.map((n) => rotateDirection(rotationAbout([0, 0, 0], axis, (deg * Math.PI) / 180), n));
const turnedOne = (v: Vec3, axis: Vec3, deg: number) => turned([v], axis, deg)[0]!;

describe('crownAxes', () => {
  it('follows an incisor that is turned and tilted', () => {
    const turn = (v: Vec3) => turnedOne(turnedOne(v, [0, 0, 1], 7), [0, 1, 0], 9);
    const normals = walls(3, 4.5, 2.6).map(turn);
    const { m, b, o } = crownAxes(11, normals, [1, 0, 0], [0, 0, 1]);
    expect(degrees(o, turn([0, 0, 1]))).toBeLessThan(0.1);
    expect(degrees(m, turn([1, 0, 0]))).toBeLessThan(0.5);
    expect(dot(m, o)).toBeCloseTo(0, 9);
    expect(dot(b, m)).toBeCloseTo(0, 9);
  });

  it('brings a turned molar into line with its four walls and keeps the occlusal axis', () => {
    const normals = turned(walls(5, 5.2, 5), [0, 0, 1], -6);
    const { m, o } = crownAxes(36, normals, [1, 0, 0], [0, 0, 1]);
    expect(o).toEqual([0, 0, 1]);
    expect(degrees(m, turnedOne([1, 0, 0], [0, 0, 1], -6))).toBeLessThan(0.6);
  });

  it('never turns farther than twelve degrees from the arch', () => {
    const normals = turned(walls(3, 5, 3), [0, 0, 1], 30);
    const { m } = crownAxes(14, normals, [1, 0, 0], [0, 0, 1]);
    expect(degrees(m, [1, 0, 0])).toBeLessThanOrEqual(12.01);
  });

  it('keeps the arch’s direction where too little is seen', () => {
    const { m, o } = crownAxes(11, walls(3, 4, 2).slice(0, 20), [1, 0.1, 0.2], [0, 0, 1]);
    expect(o).toEqual([0, 0, 1]);
    expect(degrees(m, normalize([1, 0.1, 0]))).toBeLessThan(1e-3);
  });
});
