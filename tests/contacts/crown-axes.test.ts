import { describe, expect, it } from 'vitest';
import { crownAxes } from '../../src/contacts/crown-axes.ts';
import { type RigidMotion, rotateDirection, rotationAbout } from '../../src/geometry/rigid.ts';
import type { Vec3 } from '../../src/geometry/types.ts';
import { dot, normalize } from '../../src/geometry/vec3.ts';
import { seenPrism } from './seen-prism.ts';

const UP: Vec3 = [0, 0, 1];
const degrees = (a: Vec3, b: Vec3) => (Math.acos(Math.min(1, Math.abs(dot(a, b)))) * 180) / Math.PI;
const turn = (axis: Vec3, deg: number): RigidMotion => rotationAbout([0, 0, 0], axis, (deg * Math.PI) / 180);
const moved = (v: Vec3, motions: readonly RigidMotion[]) =>
  motions.reduce((p, motion) => rotateDirection(motion, p), v);

describe('crownAxes', () => {
  it('follows an incisor that is turned and tilted', () => {
    const motions = [turn(UP, 7), turn([0, 1, 0], 9)];
    const { m, b, o } = crownAxes(11, seenPrism(3, 4.5, 2.6, motions), [1, 0, 0], UP);
    expect(degrees(m, moved([1, 0, 0], motions))).toBeLessThan(0.5);
    expect(degrees(o, moved(UP, motions))).toBeLessThan(2);
    expect(dot(m, o)).toBeCloseTo(0, 9);
    expect(dot(b, m)).toBeCloseTo(0, 9);
    expect(dot(b, o)).toBeCloseTo(0, 9);
  });

  it('turns with a molar and keeps the occlusal axis', () => {
    const motions = [turn(UP, -6)];
    const { m, o } = crownAxes(36, seenPrism(5, 5.2, 5, motions), [1, 0, 0], UP);
    expect(o).toEqual(UP);
    expect(degrees(m, moved([1, 0, 0], motions))).toBeLessThan(1.5);
  });

  it('keeps the arch’s direction, level, where too little is seen', () => {
    const seen = seenPrism(3, 4, 2, [turn(UP, 7)]);
    const few = { points: seen.points.slice(0, 60), normals: seen.normals.slice(0, 60) };
    const { m, o } = crownAxes(11, few, [1, 0.1, 0.2], UP);
    expect(o).toEqual(UP);
    expect(degrees(m, normalize([1, 0.1, 0]))).toBeLessThan(1e-3);
  });

  it('takes the wider axis of its side walls where no mirror plane is found', () => {
    const motions = [turn(UP, 8)];
    const seen = seenPrism(3, 4.5, 2.6, motions);
    const { m } = crownAxes(14, { ...seen, points: seen.points.slice(0, 90) }, [1, 0, 0], UP);
    expect(degrees(m, moved([1, 0, 0], motions))).toBeLessThan(2);
  });
});
