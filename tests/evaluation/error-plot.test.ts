import { describe, expect, it } from 'vitest';
import { errorPlot } from './error-plot.ts';
import type { JudgedContact } from './judge-spaces.ts';

/** As much of a judged contact as the plot reads: true and measured space with its uncertainty, mm. */
function judged(trueMm: number, measuredMm: number | null, u95Mm = 0.03): JudgedContact {
  const gap = measuredMm === null ? null : { valueMm: measuredMm, u95Mm, basis: 'patch', terms: [] };
  return { place: 'a', truth: { gapMm: trueMm }, contact: { gap } } as unknown as JudgedContact;
}

const marks = (svg: string) =>
  [...svg.matchAll(/<circle cx="([\d.]+)" cy="([\d.]+)" r="3" fill="(#\w+)"/g)].map((m) => ({
    x: Number(m[1]),
    y: Number(m[2]),
    colour: m[3],
  }));

describe('errorPlot', () => {
  it('puts a mark per measured space: true space to the right, error upwards', () => {
    const [zero, above] = marks(errorPlot([judged(0.4, 0.4), judged(0.6, 0.62), judged(0.2, null)], 'x'));
    // axes from 64 to 704 over 0.8 mm, and from 272 to 16 over -60 to 60 um
    expect(zero).toMatchObject({ x: 384, y: 144 });
    expect(above!.x).toBeCloseTo(544, 1);
    expect(above!.y).toBeCloseTo(144 - (20 / 120) * 256, 1);
    expect(marks(errorPlot([judged(0.2, null)], 'x'))).toHaveLength(0);
  });

  it('tells errors beyond U by colour and keeps what lies outside at the edge', () => {
    const [within, beyond, outside] = marks(
      errorPlot([judged(0.4, 0.42), judged(0.4, 0.44), judged(1.9, 2.1)], 'x'),
    );
    expect(beyond!.colour).not.toBe(within!.colour);
    expect(outside).toMatchObject({ x: 704, y: 16, colour: beyond!.colour });
  });

  it('draws the interval as a bar from error - U to error + U', () => {
    const svg = errorPlot([judged(0.4, 0.41, 0.03)], 'x');
    const y = (um: number) => (144 - (um / 120) * 256).toFixed(1);
    expect(svg).toContain(`<line x1="384.0" x2="384.0" y1="${y(-20)}" y2="${y(40)}"`);
  });
});
