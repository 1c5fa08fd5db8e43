import { describe, expect, it } from 'vitest';
import { type ArchIndex, archIndices, irregularityGrade } from '../../src/contacts/arch-indices.ts';
import type { Analysis } from '../../src/contacts/types.ts';
import type { Vec3 } from '../../src/geometry/types.ts';
import { archOrder, digitOf } from '../../src/teeth/notation.ts';
import type { ToothNumber, ToothRecord } from '../../src/teeth/types.ts';
import { makeAnalysis, makeContact } from '../helpers/make-analysis.ts';

const WIDTH_MM = 8;

/**
 * Twelve upper teeth of 8 mm on a straight row along x, z down as in an upper jaw; each contact along x. `offsets`
 * moves a tooth forwards (y) or along (x); heights differ, which no index may notice.
 */
function straightRow(offsets: Readonly<Record<ToothNumber, readonly [number, number]>> = {}): Analysis {
  const order = archOrder('upper').filter((tooth) => digitOf(tooth) <= 6);
  const teeth: ToothRecord[] = order.map((tooth, k) => {
    const [dx, dy] = offsets[tooth] ?? [0, 0];
    const x = (k - 5.5) * WIDTH_MM + dx;
    const z = k % 2;
    const place = (at: number): Vec3 => [at, dy, z];
    return {
      tooth,
      centre: [x, dy, z],
      mesiodistalMm: WIDTH_MM,
      buccolingualMm: 7,
      crownHeightMm: 8,
      areaMm2: 100,
      fixed: false,
      sizesU95Mm: { mesiodistal: 0.14, buccolingual: 0.2, crownHeight: 0.3 },
      marks: {
        right: place(x - WIDTH_MM / 2),
        left: place(x + WIDTH_MM / 2),
        rightSeen: true,
        leftSeen: true,
        cusp: [3, 6].includes(digitOf(tooth)) ? [x, dy + 1, z + 3] : null,
      },
    };
  });
  const contacts = order.slice(1).map((tooth, k) => makeContact(order[k]!, tooth, { status: 'bridged' }));
  return { ...makeAnalysis({ teeth: order }), teeth, contacts };
}

const indexOf = (analysis: Analysis, code: ArchIndex['code']) =>
  archIndices(analysis).find((index) => index.code === code)!;

describe('archIndices', () => {
  it('calls a straight row perfect, whatever the heights', () => {
    expect(indexOf(straightRow(), 'irregularity')).toMatchObject({ valueMm: 0, grade: 'perfect' });
  });

  it('adds the offset on both sides of a displaced tooth', () => {
    const index = indexOf(straightRow({ 11: [0, 1.2], 23: [0, -0.7] }), 'irregularity');
    // 12-11 and 11-21 1.2 each, 22-23 0.7; 23-24 is behind the canine and does not count.
    expect(index.valueMm).toBeCloseTo(3.1, 9);
    expect(index.grade).toBe('minimal');
  });

  it('leaves spaces along the arch out and counts overlap along it', () => {
    expect(indexOf(straightRow({ 13: [-2, 0], 12: [-1, 0] }), 'irregularity').valueMm).toBeCloseTo(0, 9);
    // 12 half a millimetre into 11 and 1.2 in front of it; a space of 0.5 opens to 13.
    const crowded = indexOf(straightRow({ 12: [0.5, 1.2] }), 'irregularity');
    expect(crowded.valueMm).toBeCloseTo(Math.hypot(0.5, 1.2) + 1.2, 9);
  });

  it('is surer of places that were seen than of places behind webs', () => {
    const seen = straightRow();
    const hidden: Analysis = {
      ...seen,
      teeth: seen.teeth.map((record) => ({
        ...record,
        marks: { ...record.marks!, rightSeen: false, leftSeen: false },
      })),
    };
    // Five contacts, two places each: 2 * 0.12 * sqrt 10 and 2 * 0.2 * sqrt 10.
    expect(indexOf(seen, 'irregularity').u95Mm).toBeCloseTo(0.24 * Math.sqrt(10), 9);
    expect(indexOf(hidden, 'irregularity').u95Mm).toBeCloseTo(0.4 * Math.sqrt(10), 9);
  });

  it('takes depth from the incisors to the line of the molars', () => {
    // Molars 5 mm behind; the line through their mesial places is y = -5.
    const row = straightRow({ 16: [0, -5], 26: [0, -5] });
    expect(indexOf(row, 'arch-depth').valueMm).toBeCloseTo(5, 9);
    // One molar 4 farther back: the middle of the line lies 7 behind, and it leans by atan(4 / 80).
    const lean = straightRow({ 16: [0, -5], 26: [0, -9] });
    expect(indexOf(lean, 'arch-depth').valueMm).toBeCloseTo(7 * Math.cos(Math.atan2(4, 80)), 9);
  });

  it('takes the widths between cusp tips in the occlusal plane', () => {
    const row = straightRow();
    expect(indexOf(row, 'intercanine-width').valueMm).toBeCloseTo(5 * WIDTH_MM, 9);
    expect(indexOf(row, 'intermolar-width').valueMm).toBeCloseTo(11 * WIDTH_MM, 9);
    expect(indexOf(row, 'intercanine-width').u95Mm).toBeCloseTo(2 * 0.15 * Math.SQRT2, 9);
  });

  it('adds up what was measured and nothing else', () => {
    const row = straightRow();
    const contacts = row.contacts.map((contact) =>
      contact.toothA === 11 || contact.toothA === 23
        ? makeContact(contact.toothA, contact.toothB, { status: 'open', gapMm: 0.4, u95Mm: 0.03 })
        : contact,
    );
    const index = indexOf({ ...row, contacts }, 'measured-spaces');
    expect(index.valueMm).toBeCloseTo(0.8, 9);
    expect(index.u95Mm).toBeCloseTo(0.03 * Math.SQRT2, 9);
    expect(indexOf(row, 'measured-spaces')).toMatchObject({ valueMm: null, u95Mm: null });
  });

  it('has no value but a reason when a tooth is absent or was not seen well enough', () => {
    const row = straightRow();
    const without: Analysis = { ...row, teeth: row.teeth.filter(({ tooth }) => tooth !== 13) };
    expect(indexOf(without, 'irregularity')).toMatchObject({
      valueMm: null,
      u95Mm: null,
      grade: null,
      reason: 'Not on the scan: 13.',
    });
    expect(indexOf(without, 'intercanine-width').reason).toBe('Not on the scan: 13.');
    expect(indexOf(without, 'intermolar-width').reason).toBeNull();
    for (const index of archIndices(makeAnalysis())) {
      expect(index.valueMm).toBeNull();
      expect(index.reason).toMatch(/not seen well enough|No space/);
    }
  });
});

describe('irregularityGrade', () => {
  // The published classes (Little 1975): 0, 1-3, 4-6, 7-9, 10; between them the rounded value decides.
  it.each([
    [0, 'perfect'],
    [2, 'minimal'],
    [5, 'moderate'],
    [8, 'severe'],
    [10, 'very severe'],
    [0.4, 'perfect'],
    [3.4, 'minimal'],
    [3.6, 'moderate'],
    [14, 'very severe'],
  ])('%f mm is %s', (value, grade) => {
    expect(irregularityGrade(value)).toBe(grade);
  });
});
