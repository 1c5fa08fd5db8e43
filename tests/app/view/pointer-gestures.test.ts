// @vitest-environment jsdom
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { listenToGestures } from '../../../src/app/view/pointer-gestures.ts';

let host: HTMLDivElement;
let stop: () => void;
let actions: ReturnType<typeof makeActions>;

function makeActions() {
  return {
    turnStart: vi.fn<(x: number, y: number) => void>(),
    turn: vi.fn<(dx: number, dy: number) => void>(),
    pan: vi.fn<(dx: number, dy: number) => void>(),
    zoom: vi.fn<(factor: number, x: number, y: number) => void>(),
    roll: vi.fn<(angle: number, x: number, y: number) => void>(),
    click: vi.fn<(x: number, y: number) => void>(),
    paints: vi.fn<(x: number, y: number) => boolean>(() => false),
    paint: vi.fn<(x: number, y: number, begins: boolean) => void>(),
    hover: vi.fn<(place: { readonly x: number; readonly y: number } | null) => void>(),
  };
}

beforeEach(() => {
  host = document.createElement('div');
  host.setPointerCapture = () => {};
  document.body.append(host);
  actions = makeActions();
  stop = listenToGestures(host, actions);
});
afterEach(() => {
  stop();
  host.remove();
});

interface Press {
  readonly id?: number;
  readonly button?: number;
  readonly shiftKey?: boolean;
  readonly pointerType?: string;
}

/** jsdom has no PointerEvent of its own in every version: a mouse event with the fields that are read. */
function send(type: string, x: number, y: number, press: Press = {}, target: Element = host): void {
  const event = new MouseEvent(type, {
    bubbles: true,
    cancelable: true,
    clientX: x,
    clientY: y,
    button: press.button ?? 0,
    shiftKey: press.shiftKey ?? false,
  });
  Object.defineProperty(event, 'pointerId', { value: press.id ?? 1 });
  Object.defineProperty(event, 'pointerType', { value: press.pointerType ?? 'mouse' });
  target.dispatchEvent(event);
}

describe('listenToGestures', () => {
  it('takes a press that hardly moves for a click', () => {
    send('pointerdown', 100, 80);
    send('pointermove', 102, 81);
    send('pointerup', 102, 81);
    expect(actions.click).toHaveBeenCalledExactlyOnceWith(102, 81);
    expect(actions.turn).not.toHaveBeenCalled();
  });

  it('takes a press that moves for a turn, never for a click, even when it comes back', () => {
    send('pointerdown', 100, 80);
    send('pointermove', 130, 80);
    send('pointermove', 100, 80);
    send('pointerup', 100, 80);
    expect(actions.turnStart).toHaveBeenCalledExactlyOnceWith(100, 80);
    expect(actions.turn).toHaveBeenCalledWith(30, 0);
    expect(actions.click).not.toHaveBeenCalled();
  });

  it('paints with the main button where the view says so, from the place of the press on', () => {
    actions.paints.mockReturnValue(true);
    send('pointerdown', 100, 80);
    expect(actions.paint).not.toHaveBeenCalled();
    send('pointermove', 110, 80);
    send('pointermove', 120, 85);
    send('pointerup', 120, 85);
    expect(actions.paint.mock.calls).toEqual([
      [100, 80, true],
      [110, 80, false],
      [120, 85, false],
    ]);
    expect(actions.turn).not.toHaveBeenCalled();
    expect(actions.click).not.toHaveBeenCalled();
  });

  it('paints a single dot by a press, and nothing when a second finger comes', () => {
    actions.paints.mockReturnValue(true);
    send('pointerdown', 100, 80);
    send('pointerup', 101, 80);
    expect(actions.paint.mock.calls).toEqual([[101, 80, true]]);
    send('pointerdown', 100, 80, { id: 1, pointerType: 'touch' });
    send('pointerdown', 200, 80, { id: 2, pointerType: 'touch' });
    send('pointermove', 150, 80, { id: 1, pointerType: 'touch' });
    send('pointerup', 150, 80, { id: 1, pointerType: 'touch' });
    send('pointerup', 200, 80, { id: 2, pointerType: 'touch' });
    expect(actions.paint).toHaveBeenCalledTimes(1);
  });

  it('still turns and shifts by other buttons while painting', () => {
    actions.paints.mockReturnValue(true);
    send('pointerdown', 100, 80, { button: 2 });
    send('pointermove', 120, 80, { button: 2 });
    send('pointerup', 120, 80, { button: 2 });
    expect(actions.pan).toHaveBeenCalled();
    expect(actions.paint).not.toHaveBeenCalled();
  });

  it('gives unsteady fingers more slack than a mouse', () => {
    send('pointerdown', 100, 80, { pointerType: 'touch' });
    send('pointermove', 106, 84, { pointerType: 'touch' });
    send('pointerup', 106, 84, { pointerType: 'touch' });
    expect(actions.click).toHaveBeenCalledOnce();
  });

  it.each([{ button: 2 }, { button: 1 }, { shiftKey: true }])(
    'pans with another button or Shift: %o',
    (press) => {
      send('pointerdown', 10, 10, press);
      send('pointermove', 30, 15, press);
      send('pointerup', 30, 15, press);
      expect(actions.pan).toHaveBeenCalledWith(20, 5);
      expect(actions.turn).not.toHaveBeenCalled();
      expect(actions.click).not.toHaveBeenCalled();
    },
  );

  it('zooms, pans and rolls with two fingers, and does not click when they leave', () => {
    const [a, b] = [
      { id: 1, pointerType: 'touch' },
      { id: 2, pointerType: 'touch' },
    ];
    send('pointerdown', 100, 100, a);
    send('pointerdown', 200, 100, b);
    send('pointermove', 300, 100, b);
    expect(actions.zoom).toHaveBeenLastCalledWith(2, 200, 100);
    expect(actions.pan).toHaveBeenLastCalledWith(50, 0);
    // A quarter turn of the second finger about the first.
    send('pointermove', 100, 300, b);
    expect(actions.roll.mock.lastCall![0]).toBeCloseTo(Math.PI / 2, 9);
    send('pointerup', 100, 300, b);
    send('pointerup', 100, 100, a);
    expect(actions.click).not.toHaveBeenCalled();
    expect(actions.turn).not.toHaveBeenCalled();
  });

  it('comes nearer when the wheel turns up, and back by the same amount', () => {
    host.dispatchEvent(new WheelEvent('wheel', { deltaY: -100, clientX: 40, clientY: 50 }));
    host.dispatchEvent(new WheelEvent('wheel', { deltaY: 100, clientX: 40, clientY: 50 }));
    const [near, far] = actions.zoom.mock.calls;
    expect(near![0]).toBeGreaterThan(1);
    expect(near![0] * far![0]).toBeCloseTo(1, 12);
    expect(near!.slice(1)).toEqual([40, 50]);
  });

  it('leaves pins and marks their own presses', () => {
    const pin = document.createElement('button');
    pin.dataset.ownPointer = '';
    host.append(pin);
    send('pointerdown', 5, 5, {}, pin);
    send('pointerup', 5, 5, {}, pin);
    expect(actions.turnStart).not.toHaveBeenCalled();
    expect(actions.click).not.toHaveBeenCalled();
  });

  it('stops listening', () => {
    stop();
    send('pointerdown', 1, 1);
    send('pointerup', 1, 1);
    expect(actions.click).not.toHaveBeenCalled();
  });
});
