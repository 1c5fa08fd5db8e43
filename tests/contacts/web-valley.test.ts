import { describe, expect, it } from 'vitest';
import { prepareArchSurface } from '../../src/contacts/arch-surface.ts';
import type { ContactFrame } from '../../src/contacts/contact-frame.ts';
import { webBetween } from '../../src/contacts/web-between.ts';
import { webValley } from '../../src/contacts/web-valley.ts';
import { heightField } from '../helpers/height-field.ts';

/** Two crowns seen from above, joined by a web along y whose bottom is at x = BOTTOM_MM; occlusal is z. */
const FRAME: ContactFrame = { t: [1, 0, 0], o: [0, 0, 1], b: [0, 1, 0] };
const BOTTOM_MM = 0.07;
const saddle = (x: number, y: number) => 0.9 * (x - BOTTOM_MM) ** 2 - 0.8 * y * y;

/** The line found when the labels meet at x = `borderMm`. */
function valley(borderMm: number, height = saddle) {
  const label = (x: number, y: number) => (Math.abs(y) > 1.6 ? 0 : x < borderMm ? 11 : 21);
  const { mesh, labels } = heightField(2, 4, 0.1, height, label);
  const arch = prepareArchSurface(mesh, labels);
  const web = webBetween(arch, 11, 21, FRAME);
  return { web, line: webValley(arch, arch.teeth.get(11)!, arch.teeth.get(21)!, FRAME, web) };
}

const along = (points: Float64Array) => Array.from({ length: points.length / 3 }, (_, i) => points[3 * i]!);

describe('webValley', () => {
  it('is the bottom of the web, wherever near it the labels meet: closed form', () => {
    for (const borderMm of [-0.15, 0.05, 0.25]) {
      const { web, line } = valley(borderMm);
      expect(web.state).toBe('full');
      expect(Math.abs(along(web.ridge)[0]! - borderMm)).toBeLessThan(0.051);
      expect(line.length / 3).toBeGreaterThan(20);
      for (const x of along(line)) expect(Math.abs(x - BOTTOM_MM)).toBeLessThan(0.005);
    }
  });

  it('counts every edge once', () => {
    const { line } = valley(0.05);
    const places = Array.from({ length: line.length / 3 }, (_, i) => line.slice(3 * i, 3 * i + 3).join(' '));
    expect(new Set(places).size).toBe(places.length);
  });

  it('takes no marginal ridge for a bottom, and then keeps the border of the labels', () => {
    const { web, line } = valley(0.05, (x, y) => -0.3 * (x - BOTTOM_MM) ** 2 - 0.8 * y * y);
    expect(web.state).toBe('full');
    expect([...line]).toEqual([...web.ridge]);
  });

  it('keeps the border where the surface has no bottom near it', () => {
    const { web, line } = valley(0.05, (x, y) => 0.3 * (x + 1.2) ** 2 - 0.8 * y * y);
    expect(web.ridge.length).toBeGreaterThan(0);
    expect([...line]).toEqual([...web.ridge]);
  });
});
