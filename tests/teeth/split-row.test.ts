import { describe, expect, it } from 'vitest';
import { TRACK_STEP_MM } from '../../src/teeth/arch-track.ts';
import { digitOf } from '../../src/teeth/notation.ts';
import type { RowProfile } from '../../src/teeth/row-profile.ts';
import { splitRow } from '../../src/teeth/split-row.ts';
import { textbookSize } from '../../src/teeth/tooth-sizes-table.ts';

const LEAD_MM = 10;
const UPPER = [17, 16, 15, 14, 13, 12, 11, 21, 22, 23, 24, 25, 26, 27];

/** A row of crowns of textbook widths times `size`, with clear embrasures between them and gum beyond the ends. */
function row(teeth: readonly number[], size = 1) {
  const middles = new Map<number, number>();
  const borders: number[] = [LEAD_MM];
  for (const tooth of teeth) {
    const width = size * textbookSize(tooth).mesiodistalMm;
    middles.set(tooth, borders.at(-1)! + width / 2);
    borders.push(borders.at(-1)! + width);
  }
  const count = Math.ceil((borders.at(-1)! + LEAD_MM) / TRACK_STEP_MM);
  const at = (i: number) => i * TRACK_STEP_MM;
  const presence = Float64Array.from({ length: count }, (_, i) =>
    at(i) >= LEAD_MM && at(i) <= borders.at(-1)! ? 1 : 0,
  );
  const embrasure = Float64Array.from({ length: count }, (_, i) =>
    Math.max(1 - presence[i]!, ...borders.map((b) => Math.max(0, 1 - Math.abs(at(i) - b) / 0.8))),
  );
  const profile: RowProfile = { presence, embrasure, sectionMm2: presence };
  const click = (tooth: number) => ({ tooth, at: Math.round(middles.get(tooth)! / TRACK_STEP_MM) });
  return { profile, click, middles };
}

function expectMiddles(split: ReturnType<typeof splitRow>, middles: ReadonlyMap<number, number>): void {
  expect(split?.parts.map((part) => part.tooth)).toEqual([...middles.keys()]);
  for (const { tooth, from, to } of split!.parts) {
    expect(((from + to) / 2) * TRACK_STEP_MM).toBeCloseTo(middles.get(tooth)!, 0);
  }
}

describe('splitRow', () => {
  it.each([0.9, 1, 1.1])('finds every crown of a row whose teeth are %f of the textbook', (size) => {
    const { profile, click, middles } = row(UPPER, size);
    const split = splitRow(profile, [17, 16, 15].map(click), 'upper', []);
    expectMiddles(split, middles);
    expect(split!.size).toBeCloseTo(size, 1);
  });

  it('numbers the row from any click, whichever end it is seen from', () => {
    const { profile, click, middles } = row(UPPER);
    for (const teeth of [
      [11, 21],
      [27, 26],
      [13, 24],
    ]) {
      expectMiddles(splitRow(profile, teeth.map(click), 'upper', []), middles);
    }
  });

  it('leaves out a missing tooth whose space has closed, and fits worse when it is not told', () => {
    const { profile, click, middles } = row(UPPER.filter((tooth) => tooth !== 14));
    const told = splitRow(profile, [17, 11].map(click), 'upper', [14]);
    expectMiddles(told, middles);
    const untold = splitRow(profile, [17, 11].map(click), 'upper', []);
    expect(untold === null || untold.cost > told!.cost + 3).toBe(true);
  });

  it('adds a third molar only where a whole crown stands behind the second', () => {
    const { profile, click } = row(UPPER);
    const found = splitRow(profile, [16, 11].map(click), 'upper', []);
    expect(found!.parts.some((part) => digitOf(part.tooth) === 8)).toBe(false);
    const with8 = row([18, ...UPPER, 28]);
    const more = splitRow(with8.profile, [16, 11].map(with8.click), 'upper', []);
    expectMiddles(more, with8.middles);
  });

  it('gives nothing when clicks contradict the row: two neighbours 40 mm apart', () => {
    const { profile } = row(UPPER);
    const clicks = [
      { tooth: 17, at: 60 },
      { tooth: 16, at: 60 + 40 / TRACK_STEP_MM },
    ];
    expect(splitRow(profile, clicks, 'upper', [])).toBeNull();
  });
});
