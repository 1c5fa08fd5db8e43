// @vitest-environment node
import fc from 'fast-check';
import { Quaternion, Vector3 } from 'three';
import { describe, expect, it } from 'vitest';
import {
  between,
  type CameraPose,
  contactPose,
  eased,
  fitPose,
  NAMED_VIEWS,
  panned,
  placeOnScreen,
  sightOf,
  sightRotation,
  turned,
  zoomed,
} from '../../../src/app/view/camera-pose.ts';
import type { Vec3 } from '../../../src/geometry/types.ts';
import type { OcclusalFrame } from '../../../src/teeth/types.ts';

/** A patient in a right-handed room: with x to the left and y to the front, z points to the feet. */
const LEFT: Vec3 = [1, 0, 0];
const FRONT: Vec3 = [0, 1, 0];
const UP = [0, 0, -1];
const upper: OcclusalFrame = { origin: [0, 0, 0], x: LEFT, y: FRONT, z: [0, 0, 1] };
const lower: OcclusalFrame = { origin: [0, 0, 0], x: LEFT, y: FRONT, z: [0, 0, -1] };

function axes(rotation: CameraPose['rotation']): { right: number[]; up: number[]; back: number[] } {
  const q = new Quaternion(...rotation);
  const turn = (x: number, y: number, z: number): number[] =>
    new Vector3(x, y, z)
      .applyQuaternion(q)
      .toArray()
      .map((c) => Math.round(c * 1e9) / 1e9 + 0);
  return { right: turn(1, 0, 0), up: turn(0, 1, 0), back: turn(0, 0, 1) };
}

/** Place on the screen, mm from the middle. */
function onScreen(pose: CameraPose, p: Vec3): [number, number] {
  const d = new Vector3(...p).sub(new Vector3(...pose.target));
  const q = new Quaternion(...pose.rotation);
  return [d.dot(new Vector3(1, 0, 0).applyQuaternion(q)), d.dot(new Vector3(0, 1, 0).applyQuaternion(q))];
}

describe('sightOf', () => {
  it.each([
    ['upper', upper, [0, 1, 0]],
    ['lower', lower, [0, -1, 0]],
  ] as const)(
    'from above, an %s arch has the patient’s left on the right of the picture',
    (jaw, frame, up) => {
      const seen = axes(sightRotation(sightOf('above', frame, jaw)));
      expect(seen.right).toEqual([...LEFT]);
      expect(seen.up).toEqual([...up]);
      expect(seen.back).toEqual([...frame.z]);
    },
  );

  it.each([
    ['upper', upper],
    ['lower', lower],
  ] as const)('front, right and left of an %s arch stand upright as the patient does', (jaw, frame) => {
    const front = axes(sightRotation(sightOf('front', frame, jaw)));
    expect(front.up).toEqual(UP);
    expect(front.right).toEqual([1, 0, 0]);
    const right = axes(sightRotation(sightOf('right', frame, jaw)));
    expect(right.back).toEqual([-1, 0, 0]);
    expect(right.right).toEqual([0, 1, 0]);
    const left = axes(sightRotation(sightOf('left', frame, jaw)));
    expect(left.back).toEqual([1, 0, 0]);
    expect(left.right).toEqual([0, -1, 0]);
  });

  it('uses the axes of the file while no teeth are known', () => {
    for (const view of NAMED_VIEWS) {
      const { right, up, back } = axes(sightRotation(sightOf(view, null, 'upper')));
      const normal = new Vector3(...(right as [number, number, number])).cross(
        new Vector3(...(up as [number, number, number])),
      );
      expect(normal.toArray()).toEqual(back);
    }
  });
});

describe('contactPose', () => {
  it.each([
    ['upper', upper],
    ['lower', lower],
  ] as const)(
    'looks at a midline contact of an %s arch from the lips, a little from the crowns’ tops',
    (jaw, frame) => {
      const pose = contactPose([3, 20, 1], LEFT, frame, jaw);
      const { right, back } = axes(pose.rotation);
      expect(pose.target).toEqual([3, 20, 1]);
      expect(right).toEqual([...LEFT]);
      expect(back[1]).toBeGreaterThan(0.8);
      expect(back[2]! * frame.z[2]).toBeGreaterThan(0.3);
    },
  );

  it('looks at a contact of the patient’s right molars from the right cheek', () => {
    const { back } = axes(contactPose([-20, -10, 0], FRONT, upper, 'upper').rotation);
    expect(back[0]).toBeLessThan(-0.8);
  });
});

describe('fitPose', () => {
  const area = { width: 1000, height: 500, top: 80, side: 40, bottom: 40 };
  const points = new Float32Array([-20, -10, 0, 20, 10, 5, 0, 4, -3]);

  it('brings all points inside the free rim, and at least two of them to it', () => {
    const pose = fitPose(points, [0, 0, 0, 1], area);
    const mmPerPx = pose.heightMm / area.height;
    const px = Array.from({ length: 3 }, (_, i) => {
      const [x, y] = onScreen(pose, [points[3 * i]!, points[3 * i + 1]!, points[3 * i + 2]!]);
      return [x / mmPerPx + 500, 250 - y / mmPerPx] as const;
    });
    const xs = px.map((p) => p[0]);
    const ys = px.map((p) => p[1]);
    expect(Math.min(...ys)).toBeCloseTo(80, 4);
    expect(Math.max(...ys)).toBeCloseTo(460, 4);
    expect(Math.min(...xs)).toBeGreaterThanOrEqual(40);
    expect(Math.max(...xs)).toBeLessThanOrEqual(960);
  });

  it('answers for a scan without points', () => {
    expect(fitPose(new Float32Array(0), [0, 0, 0, 1], area).heightMm).toBeGreaterThan(0);
  });
});

describe('moving the camera', () => {
  const pose: CameraPose = {
    target: [1, 2, 3],
    rotation: sightRotation(sightOf('front', upper, 'upper')),
    heightMm: 40,
  };

  it('zooms about the cursor', () => {
    const under = placeOnScreen(pose, 8, -5);
    const nearer = zoomed(pose, 2.5, 8, -5);
    expect(nearer.heightMm).toBeCloseTo(16, 9);
    const [x, y] = onScreen(nearer, under);
    // The same place in pixels: 2.5 times fewer millimetres from the middle.
    expect(x).toBeCloseTo(8 / 2.5, 9);
    expect(y).toBeCloseTo(-5 / 2.5, 9);
  });

  it('does not come nearer than its limit, and then does not drift either', () => {
    const close = { ...pose, heightMm: 1 };
    expect(zoomed(close, 3, 0.2, 0.1)).toEqual(close);
  });

  it('turns about the pivot, which stays on its place of the screen', () => {
    expect.hasAssertions();
    const angle = fc.double({ min: -3, max: 3, noNaN: true });
    const mm = fc.double({ min: -30, max: 30, noNaN: true });
    fc.assert(
      fc.property(angle, angle, angle, mm, mm, mm, (yaw, pitch, roll, x, y, z) => {
        const pivot: Vec3 = [x, y, z];
        const before = onScreen(pose, pivot);
        const after = onScreen(turned(pose, pivot, yaw, pitch, roll), pivot);
        expect(after[0]).toBeCloseTo(before[0], 6);
        expect(after[1]).toBeCloseTo(before[1], 6);
      }),
      { seed: 7, numRuns: 100 },
    );
  });

  it('lets the scan follow the hand: dragging right moves the near side right', () => {
    // 10 mm in front of the pivot, towards the eye.
    const near: Vec3 = [pose.target[0], pose.target[1] + 10, pose.target[2]];
    expect(onScreen(turned(pose, pose.target, 0.1, 0), near)[0]).toBeCloseTo(10 * Math.sin(0.1), 6);
    expect(onScreen(turned(pose, pose.target, 0, 0.1), near)[1]).toBeCloseTo(-10 * Math.sin(0.1), 6);
  });

  it('pans so that the scan shifts with the hand', () => {
    const before = onScreen(pose, [0, 0, 0]);
    const after = onScreen(panned(pose, 3, -2), [0, 0, 0]);
    expect(after[0] - before[0]).toBeCloseTo(3, 9);
    expect(after[1] - before[1]).toBeCloseTo(-2, 9);
  });

  it('flies from pose to pose by the shortest turn and an even change of scale', () => {
    const to: CameraPose = {
      target: [5, 2, 3],
      rotation: sightRotation(sightOf('left', upper, 'upper')),
      heightMm: 10,
    };
    expect(between(pose, to, 0).heightMm).toBeCloseTo(40, 9);
    expect(between(pose, to, 1).target).toEqual([5, 2, 3]);
    const middle = between(pose, to, 0.5);
    expect(middle.heightMm).toBeCloseTo(20, 9);
    const q = new Quaternion(...middle.rotation);
    // A quarter turn in all: an eighth to each side, and the picture stays upright.
    expect(q.angleTo(new Quaternion(...pose.rotation))).toBeCloseTo(Math.PI / 4, 9);
    expect(axes(middle.rotation).up).toEqual(UP);
  });

  it('eases in and out', () => {
    expect([eased(0), eased(0.5), eased(1), eased(2), eased(-1)]).toEqual([0, 0.5, 1, 1, 0]);
  });
});
