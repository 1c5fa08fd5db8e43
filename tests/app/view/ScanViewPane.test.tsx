import { render } from '@solidjs/testing-library';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { ScanViewPane } from '../../../src/app/view/ScanViewPane.tsx';

/** jsdom has no WebGL: just the browser that the sentence is for. three complains on the console before it throws. */
beforeEach(() => {
  vi.spyOn(HTMLCanvasElement.prototype, 'getContext').mockReturnValue(null);
  vi.spyOn(console, 'error').mockImplementation(() => {});
  vi.stubGlobal(
    'ResizeObserver',
    class {
      observe(): void {}
      disconnect(): void {}
    },
  );
});
afterEach(() => {
  vi.unstubAllGlobals();
  vi.restoreAllMocks();
});

const nothing = (): void => {};

describe('ScanViewPane without WebGL', () => {
  it('says so in a sentence, and neither throws nor leaves a canvas behind', async () => {
    const { container, unmount } = render(() => (
      <ScanViewPane
        scan={{
          scanId: 'a',
          positions: Float32Array.of(0, 0, 0, 1, 0, 0, 0, 1, 0),
          normals: Float32Array.of(0, 0, 1, 0, 0, 1, 0, 0, 1),
          triangles: Uint32Array.of(0, 1, 2),
          colors: null,
        }}
        labels={null}
        clicks={[]}
        teeth={[]}
        contacts={[]}
        selected={null}
        motions={null}
        motionScale={0}
        frame={null}
        mode="look"
        numbering="iso"
        onPick={nothing}
        onSelectContact={nothing}
        onMoveClick={nothing}
        onRemoveClick={nothing}
        proposals={[]}
        onAcceptProposal={nothing}
        onPlaceProposal={nothing}
        onPaint={nothing}
      />
    ));
    // It is not said before it is known.
    expect(container.querySelector('[role="status"]')).toBeNull();
    await vi.waitFor(() => expect(container.querySelector('[role="status"]')).not.toBeNull());
    expect(container.querySelector('[role="status"]')!.textContent).toContain(
      'WebGL is missing or switched off',
    );
    expect(container.querySelector('canvas')).toBeNull();
    expect(container.querySelector('.scan-view-tools')).toBeNull();
    unmount();
  });
});
