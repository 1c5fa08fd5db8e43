import { describe, expect, it } from 'vitest';
import { prepareArchSurface } from '../../src/contacts/arch-surface.ts';
import type { ContactFrame } from '../../src/contacts/contact-frame.ts';
import { webBetween } from '../../src/contacts/web-between.ts';
import { heightField } from '../helpers/height-field.ts';

/*
 * Two crowns seen from above, joined at x = 0 by a web whose ridge runs along y; occlusal is z. Labels: 11 left of
 * x = 0, 21 right of it, gum (0) beyond |y| = `half`.
 *
 *      z   11 \      / 21
 *               \__/        <- the ridge, normal up
 */
const FRAME: ContactFrame = { t: [1, 0, 0], o: [0, 0, 1], b: [0, 1, 0] };
/** A web rises from the gum line over the contact and falls again; a papilla's edge stays level. */
const saddle = (x: number, y: number) => 0.6 * x * x - 0.8 * y * y;
const level = (x: number) => 0.6 * x * x;
const teeth = (half: number) => (x: number, y: number) => (Math.abs(y) > half ? 0 : x < 0 ? 11 : 21);

function look(half: number, keep?: (x: number, y: number) => boolean, height = saddle) {
  const { mesh, labels } = heightField(2, 4, 0.2, height, teeth(half), keep);
  return webBetween(prepareArchSurface(mesh, labels), 11, 21, FRAME);
}

describe('webBetween', () => {
  it('finds a web across the whole contact and its size', () => {
    const web = look(1.6);
    expect(web.state).toBe('full');
    expect(web.widthMm).toBeCloseTo(3, 6);
    expect(web.heightMm).toBeCloseTo(0.8 * (1.5 ** 2 - 0.1 ** 2), 5);
    expect(web.middle![0]).toBeCloseTo(0, 6);
    expect(web.middle![1]).toBeCloseTo(0, 5);
    expect(web.papilla).toHaveLength(0);
  });

  it('a short web away from the gum is partial', () => {
    const web = look(3, (x, y) => Math.abs(x) > 0.4 || Math.abs(y) < 0.5);
    expect(web.state).toBe('partial');
    expect(web.widthMm).toBeLessThan(1.1);
  });

  it('keeps what lies beyond a stretch of border that strays onto a wall and comes back', () => {
    // The border leaves the ridge for a slope of 2.4 along the closing direction, 0.6 mm long, and returns 0.4 mm
    // before the gum: that end is web, though nowhere farther than 0.8 mm from the gum line.
    const strayed = (x: number, y: number) => (Math.abs(y - 0.9) < 0.3 ? x - 0.6 : x);
    const labels = (x: number, y: number) => (Math.abs(y) > 1.6 ? 0 : strayed(x, y) < 0 ? 11 : 21);
    const field = heightField(2, 4, 0.2, (x, y) => 2 * x * x - 0.8 * y * y, labels);
    const web = webBetween(prepareArchSurface(field.mesh, field.labels), 11, 21, FRAME);
    expect(web.widthMm).toBeCloseTo(3, 6);
    expect(web.heightMm).toBeCloseTo(0.8 * (1.5 ** 2 - 0.1 ** 2), 1);
    expect(web.papilla).toHaveLength(0);
  });

  it('a web that hangs together with more of itself stays one, though all of it runs level', () => {
    const strayed = (x: number, y: number) => (Math.abs(y - 0.9) < 0.3 ? x - 0.6 : x);
    const labels = (x: number, y: number) => (Math.abs(y) > 1.6 ? 0 : strayed(x, y) < 0 ? 11 : 21);
    const field = heightField(2, 4, 0.2, (x, y) => 2 * x * x - 0.35 * y * y, labels);
    expect(webBetween(prepareArchSurface(field.mesh, field.labels), 11, 21, FRAME)).toMatchObject({
      state: 'full',
      doubtful: null,
    });
  });

  it('labels that meet over the papilla are gum line, no web', () => {
    // a narrow one, and a wide one between molars
    for (const half of [0.65, 1.6]) {
      const web = look(half, undefined, level);
      expect(web.state).toBe('none');
      expect(web.ridge).toHaveLength(0);
      expect(web.papilla.length).toBeGreaterThan(9);
      // handed on, as a low web looks the same
      expect(web.doubtful).toMatchObject({ state: half > 1 ? 'full' : 'partial' });
    }
  });

  it('a label that spills over onto the neighbour wall makes no web', () => {
    // the border lies on a slope that faces the closing direction
    const { mesh, labels } = heightField(2, 4, 0.2, (x) => -3 * x, teeth(3));
    expect(webBetween(prepareArchSurface(mesh, labels), 11, 21, FRAME).state).toBe('none');
  });

  it('a thread whose border lies round its root, with a stray ridge edge, is a partial web', () => {
    // The left label runs over the thread and up the right wall.
    const spilled = (x: number, y: number) => (x < (Math.abs(y) < 0.2 ? 1.1 : 0) ? 11 : 21);
    const steep = (x: number) => x * x;
    const thread = (x: number, y: number) => Math.abs(x) > 0.2 || Math.abs(y) < 0.2;
    const { mesh, labels } = heightField(2, 4, 0.2, steep, spilled, thread);
    const web = webBetween(prepareArchSurface(mesh, labels), 11, 21, FRAME);
    expect(web.state).toBe('partial');
    expect(web.middle![0]).toBeGreaterThan(0.3);
    expect(web.middle![0]).toBeLessThan(1.1);
    // All of the border faces across: a spill, no thread.
    const spill = heightField(2, 4, 0.2, steep, spilled, (x, y) => Math.abs(x) > 0.5 || Math.abs(y) < 0.2);
    expect(webBetween(prepareArchSurface(spill.mesh, spill.labels), 11, 21, FRAME).state).toBe('none');
  });

  it('teeth that do not touch, or are not there, have none', () => {
    const apart = look(3, (x) => Math.abs(x) > 0.3);
    expect(apart).toMatchObject({ state: 'none', widthMm: null, heightMm: null, middle: null });
    const { mesh, labels } = heightField(2, 4, 0.2, saddle, teeth(3));
    expect(webBetween(prepareArchSurface(mesh, labels), 11, 22, FRAME).state).toBe('none');
  });
});
