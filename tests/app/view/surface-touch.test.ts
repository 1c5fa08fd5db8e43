import { describe, expect, it, vi } from 'vitest';
import type { ViewMode } from '../../../src/app/kernel/display-types.ts';
import type { Picker, SurfaceHit } from '../../../src/app/view/picker.ts';
import { type MissReason, makeSurfaceTouch } from '../../../src/app/view/surface-touch.ts';
import { makeViewCamera } from '../../../src/app/view/view-camera.ts';
import type { ViewContent } from '../../../src/app/view/view-content.ts';

/** A scan that fills the right half of a view of 200 px. */
const RIGHT_HALF: Picker = {
  hit: ([x, y]) => (x > 0 ? { point: [x, y, 0], triangle: 0, distanceMm: 1 } : null),
};

function makeTouch(mode: ViewMode, content: Partial<ViewContent> = {}, isSimulated = false) {
  const eye = makeViewCamera({ target: [0, 0, 0], rotation: [0, 0, 0, 1], heightMm: 70 });
  eye.resize(200, 200);
  const said = {
    pick: vi.fn<(hit: SurfaceHit) => void>(),
    paint: vi.fn<() => void>(),
    missed: vi.fn<(reason: MissReason) => void>(),
  };
  const all = { mode, labels: null, earlier: null, ...content } as ViewContent;
  const touch = makeSurfaceTouch({ eye, content: () => all, isSimulated: () => isSimulated, ...said });
  return { touch, said };
}

describe('a click on the view', () => {
  it('is picked on the scan and said to be beside it elsewhere', () => {
    const { touch, said } = makeTouch('click-tooth');
    touch.setPicker(RIGHT_HALF);
    touch.pickAt(150, 100);
    expect(said.pick).toHaveBeenCalledOnce();
    expect(said.missed).not.toHaveBeenCalled();
    touch.pickAt(50, 100);
    expect(said.pick).toHaveBeenCalledOnce();
    expect(said.missed.mock.calls).toEqual([['beside']]);
  });

  it('that came before the scan could be picked counts later, and is missed later', () => {
    const { touch, said } = makeTouch('click-tooth');
    touch.pickAt(150, 100);
    touch.pickAt(50, 100);
    expect(said.missed).not.toHaveBeenCalled();
    touch.setPicker(RIGHT_HALF);
    expect(said.pick).toHaveBeenCalledOnce();
    expect(said.missed.mock.calls).toEqual([['beside']]);
  });

  it('on a scan that is closed again is forgotten', () => {
    const { touch, said } = makeTouch('click-tooth');
    touch.pickAt(50, 100);
    touch.setPicker(null);
    touch.setPicker(RIGHT_HALF);
    expect(said.missed).not.toHaveBeenCalled();
  });

  it('says what stands in its way', () => {
    const moved = makeTouch('click-gum', {}, true);
    moved.touch.setPicker(RIGHT_HALF);
    moved.touch.pickAt(150, 100);
    expect(moved.said.missed.mock.calls).toEqual([['simulated']]);
    const earlier = { share: 0.8 } as NonNullable<ViewContent['earlier']>;
    const faded = makeTouch('click-tooth', { earlier });
    faded.touch.setPicker(RIGHT_HALF);
    faded.touch.pickAt(150, 100);
    expect(faded.said.missed.mock.calls).toEqual([['earlier']]);
    expect(faded.said.pick).not.toHaveBeenCalled();
  });

  it('of the brush paints on the scan and is missed beside it', () => {
    const { touch, said } = makeTouch('paint');
    touch.setPicker(RIGHT_HALF);
    touch.pickAt(150, 100);
    expect(said.paint).toHaveBeenCalledOnce();
    touch.pickAt(50, 100);
    expect(said.paint).toHaveBeenCalledOnce();
    expect(said.missed.mock.calls).toEqual([['beside']]);
  });
});
