import { describe, expect, test } from 'vitest';
import { decideUnit } from '../../src/scan/decide-unit.ts';
import type { LengthUnit } from '../../src/scan/types.ts';
import { MM_PER_UNIT } from '../../src/scan/units.ts';

const UNITS: readonly LengthUnit[] = ['mm', 'cm', 'm', 'in'];
const extent = (sizeMm: number, edgeMm: number, unit: LengthUnit, headerText = '') => ({
  longestSide: sizeMm / MM_PER_UNIT[unit],
  medianEdge: edgeMm / MM_PER_UNIT[unit],
  headerText,
});

describe('the unit from the size', () => {
  // [what, size in mm, median edge in mm]
  const cases = [
    ['a whole arch', 62, 0.19],
    ['a wide arch, decimated', 78, 0.35],
    ['a small arch', 52, 0.15],
  ] as const;
  for (const [what, size, edge] of cases) {
    test.each(UNITS)(`${what} in %s is recognised and sure`, (unit) => {
      expect(decideUnit(extent(size, edge, unit), null)).toMatchObject({ unit, basis: 'size', sure: true });
    });
  }

  test.each([
    ['a quadrant', 32, 0.2],
    ['an arch with edges of 1 mm', 65, 1],
    ['a single molar crown', 12.5, 0.44],
    ['a single incisor crown', 6.4, 0.23],
    ['a fine crown', 12, 0.12],
    ['an arch on a base', 100, 0.4],
  ])('%s in mm is recognised and sure', (_, size, edge) => {
    expect(decideUnit(extent(size, edge, 'mm'), null)).toMatchObject({ unit: 'mm', sure: true });
  });

  test('a single crown in metres and in inches is recognised', () => {
    expect(decideUnit(extent(9, 0.3, 'm'), null)).toMatchObject({ unit: 'm', sure: true });
    expect(decideUnit(extent(9, 0.3, 'in'), null).unit).toBe('in');
  });

  test('8 across with edges of 0.055 may be a very fine crown in mm or a coarse arch in cm: mm, not sure', () => {
    const decision = decideUnit({ longestSide: 8, medianEdge: 0.055, headerText: '' }, null);
    expect(decision).toMatchObject({ unit: 'mm', sure: false });
    expect(decision.sentence).toContain('centimetres (80 mm) would be possible too');
  });

  test('a size that fits no unit is called so: mm, not sure', () => {
    for (const size of [1e-6, 0.0002, 2000, 1e6]) {
      const decision = decideUnit({ longestSide: size, medianEdge: size / 300, headerText: '' }, null);
      expect(decision).toMatchObject({ unit: 'mm', sure: false, basis: 'size' });
      expect(decision.sentence).toMatch(/No unit makes this the size of teeth/);
    }
  });
});

describe('the unit from the user and from the header', () => {
  test.each(UNITS)('the user overrules header and guess with %s', (unit) => {
    const decision = decideUnit(extent(62, 0.2, unit, 'units=mm or units=cm'), unit);
    expect(decision).toMatchObject({ unit, basis: 'user', sure: true });
    const against = decideUnit(extent(62, 0.2, 'mm', 'units=inches'), 'mm');
    expect(against).toMatchObject({ unit: 'mm', basis: 'user', sure: true });
  });

  test.each([
    ['cm', '620 mm'],
    ['in', '1570 mm'],
    ['m', '62000 mm'],
  ] as const)('a unit of the user that makes no teeth, %s, is kept but not sure', (unit, size) => {
    const decision = decideUnit(extent(62, 0.2, 'mm'), unit);
    expect(decision).toMatchObject({ unit, basis: 'user', sure: false });
    expect(decision.sentence).toContain(
      `${size} across. That is not the size of teeth (3 to 130 mm); in millimetres it would be 62 mm across. Check`,
    );
  });

  test('where no unit makes teeth, none is named instead', () => {
    const decision = decideUnit({ longestSide: 2000, medianEdge: 7, headerText: '' }, 'm');
    expect(decision.sentence).toMatch(/not the size of teeth \(3 to 130 mm\); check the unit\.$/);
  });

  test.each([
    ['binary mesh, millimetres', 'mm'],
    ['UNITS=mm', 'mm'],
    ['unit: cm', 'cm'],
    ['unit cm', 'cm'],
    ['exported in inches', 'in'],
    ['units = in', 'in'],
    ['units m', 'm'],
    ['unit: meters', 'm'],
  ] as const)('the header text "%s" names the unit', (headerText, unit) => {
    expect(decideUnit(extent(62, 0.2, unit, headerText), null)).toMatchObject({
      unit,
      basis: 'header',
      sure: true,
    });
  });

  test.each(['scan in the mouth', 'model mm', 'millimetres or inches', 'minimum', 'commit'])(
    'the header text "%s" names none',
    (headerText) => {
      expect(decideUnit(extent(62, 0.2, 'mm', headerText), null).basis).toBe('size');
    },
  );

  test('a header that the size contradicts is not believed, and the screen asks', () => {
    const decision = decideUnit(extent(62, 0.2, 'mm', 'units=inches'), null);
    expect(decision).toMatchObject({ unit: 'mm', basis: 'size', sure: false });
    expect(decision.sentence).toContain('The header names inches, which its size rules out');
  });
});
