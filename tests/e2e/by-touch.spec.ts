import type { CDPSession, Page } from '@playwright/test';
import { frontFiles, openFiles, restingPins } from './page-steps.ts';
import { expect, test } from './watched-test.ts';

/**
 * Fingers and trackpad on the view, as the browser sends them. A pin stands where its point of the scan is drawn: what
 * the camera does is read from the places of the pins.
 */

interface Point {
  readonly x: number;
  readonly y: number;
}

const gap = (a: Point, b: Point) => Math.hypot(a.x - b.x, a.y - b.y);
const angle = (a: Point, b: Point) => Math.atan2(b.y - a.y, b.x - a.x);

/** The outermost two teeth, once they stand still. */
async function ends(page: Page): Promise<{ a: Point; b: Point }> {
  const places = await restingPins(page);
  const of = (tooth: string) => places.find((place) => place.tooth === tooth)!;
  return { a: of('12'), b: of('22') };
}

/** Fingers go down, from their first places to their last in equal steps, and up. */
async function fingers(device: CDPSession, paths: readonly (readonly [Point, Point])[], steps = 8) {
  const at = (t: number) =>
    paths.map(([from, to], id) => ({
      id,
      x: from.x + t * (to.x - from.x),
      y: from.y + t * (to.y - from.y),
    }));
  const send = (type: 'touchStart' | 'touchMove' | 'touchEnd', touchPoints: ReturnType<typeof at>) =>
    device.send('Input.dispatchTouchEvent', { type, touchPoints });
  await send('touchStart', at(0));
  for (let k = 1; k <= steps; k++) await send('touchMove', at(k / steps));
  await send('touchEnd', []);
}

test('fingers turn, pinch, shift and twist; the wheel and a pinch on a trackpad zoom to the pointer', async ({
  page,
  context,
}) => {
  await openFiles(page, frontFiles());
  await page.keyboard.press('1');
  const device = await context.newCDPSession(page);
  const host = (await page.locator('.scan-view-host').boundingBox())!;
  const middle = { x: host.x + host.width / 2, y: host.y + host.height / 2 };
  const by = (point: Point, dx: number, dy: number) => ({ x: point.x + dx, y: point.y + dy });
  let before = await ends(page);
  const next = async () => {
    const former = before;
    before = await ends(page);
    return { former, now: before };
  };

  // Two fingers move alike: the picture goes along with them, neither larger nor turned.
  await fingers(device, [
    [by(middle, -60, 0), by(middle, -10, 30)],
    [by(middle, 60, 0), by(middle, 110, 30)],
  ]);
  const shifted = await next();
  for (const end of ['a', 'b'] as const)
    expect(gap(shifted.now[end], by(shifted.former[end], 50, 30)), `shifted, ${end}`).toBeLessThan(2);

  // Two fingers part around tooth 12: it stays where it is, and all else is twice as far from it.
  const { a } = before;
  await fingers(device, [
    [by(a, -40, 0), by(a, -80, 0)],
    [by(a, 40, 0), by(a, 80, 0)],
  ]);
  const pinched = await next();
  expect(gap(pinched.now.a, pinched.former.a), 'under the fingers').toBeLessThan(2);
  expect(gap(pinched.now.a, pinched.now.b) / gap(pinched.former.a, pinched.former.b)).toBeCloseTo(2, 1);

  // Two fingers twist by a quarter turn around tooth 12, clockwise.
  await fingers(
    device,
    [0, Math.PI].map((start) => {
      const on = (turn: number) => by(a, 60 * Math.cos(start + turn), 60 * Math.sin(start + turn));
      return [on(0), on(Math.PI / 6)] as const;
    }),
  );
  const twisted = await next();
  expect(gap(twisted.now.a, twisted.former.a), 'under the fingers').toBeLessThan(3);
  const turned = angle(twisted.now.a, twisted.now.b) - angle(twisted.former.a, twisted.former.b);
  expect(turned).toBeCloseTo(Math.PI / 6, 1);

  // The wheel goes back; then a pinch on a trackpad, which comes as a wheel with Control.
  const wheel = (deltaY: number, modifiers = 0) =>
    device.send('Input.dispatchMouseEvent', { type: 'mouseWheel', ...a, deltaX: 0, deltaY, modifiers });
  await wheel(300);
  const wheeled = await next();
  expect(gap(wheeled.now.a, wheeled.former.a), 'under the pointer').toBeLessThan(1);
  expect(gap(wheeled.now.a, wheeled.now.b)).toBeLessThan(0.7 * gap(wheeled.former.a, wheeled.former.b));
  const CONTROL = 2;
  await wheel(-20, CONTROL);
  const spread = await next();
  expect(gap(spread.now.a, spread.former.a), 'under the pointer').toBeLessThan(1);
  expect(gap(spread.now.a, spread.now.b)).toBeGreaterThan(1.1 * gap(spread.former.a, spread.former.b));
  expect(await page.evaluate(() => window.visualViewport?.scale), 'the page itself is not zoomed').toBe(1);

  // One finger turns: seen from above, upwards brings the front into sight, and the row of teeth gets no longer.
  await page.keyboard.press('1');
  await next();
  await fingers(device, [[by(middle, 0, 0), by(middle, 0, -120)]]);
  const rolled = await next();
  expect(gap(rolled.now.a, rolled.former.a) + gap(rolled.now.b, rolled.former.b)).toBeGreaterThan(10);
  const width = Math.abs(rolled.now.a.x - rolled.now.b.x) / Math.abs(rolled.former.a.x - rolled.former.b.x);
  expect(width).toBeCloseTo(1, 1);
  // A tap is a click, no turn: with nothing to click for, all stays.
  await fingers(device, [[middle, middle]], 1);
  const tapped = await next();
  expect(tapped.now).toEqual(tapped.former);
});
