import { expect, it } from 'vitest';
import { makeViewCamera } from '../../../src/app/view/view-camera.ts';

const start = { target: [0, 0, 0], rotation: [0, 0, 0, 1], heightMm: 70 } as const;

it('stands as another camera did, and stays there when that one goes on', () => {
  const eye = makeViewCamera(start);
  const seen = makeViewCamera(start);
  eye.resize(900, 600);
  eye.setBounds([1, 2, 3], 20);
  eye.setPose({ target: [4, 5, 6], rotation: [0, Math.SQRT1_2, 0, Math.SQRT1_2], heightMm: 30 });
  seen.take(eye.shot());
  const looks = (camera: typeof eye) => [
    camera.state(),
    camera.project([1, 1, 1]),
    camera.rayAt(100, 50),
    camera.towardsEye(),
    camera.width,
    camera.height,
    camera.mmPerPx(),
  ];
  const before = looks(eye);
  expect(looks(seen)).toEqual(before);
  eye.setPose(start);
  expect(looks(eye)).not.toEqual(before);
  expect(looks(seen)).toEqual(before);
});
