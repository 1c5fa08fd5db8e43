import { describe, expect, it } from 'vitest';
import { clicksToScanFrame, parseClickFile, snapClicks, writeClickFile } from '../../src/teeth/clicks.ts';
import type { ClickSet } from '../../src/teeth/types.ts';
import { sphereMesh } from '../helpers/closed-meshes.ts';
import { scanOf } from './shared-scans.ts';

const FILE = {
  jaw: 'upper',
  unit: 'cm',
  clicks: [
    { tooth: '17', point: [1, 2, 3] },
    { tooth: 'gum', point: [0.5, 0, -1] },
    { tooth: '17', point: [1.1, 2, 3] },
  ],
  missing: ['14'],
  fixed: ['17'],
};

const code = (name: string): unknown => expect.objectContaining({ code: name, kind: 'input' });

describe('parseClickFile', () => {
  it('reads the file in its own unit', () => {
    expect(parseClickFile(JSON.stringify(FILE))).toEqual({
      jaw: 'upper',
      unit: 'cm',
      clicks: [
        { tooth: 17, point: [1, 2, 3] },
        { tooth: 'gum', point: [0.5, 0, -1] },
        { tooth: 17, point: [1.1, 2, 3] },
      ],
      missing: [14],
      fixed: [17],
    });
  });

  it('takes millimetres, no missing and no fixed teeth where the file does not say', () => {
    const file = parseClickFile('\uFEFF{"jaw":"lower","clicks":[]}');
    expect(file).toEqual({ jaw: 'lower', unit: 'mm', clicks: [], missing: [], fixed: [] });
  });

  it.each([
    ['no JSON', '{', 'CLICKS_NOT_JSON'],
    ['an array', '[]', 'CLICKS_INVALID'],
    ['another jaw', JSON.stringify({ ...FILE, jaw: 'left' }), 'CLICKS_INVALID'],
    ['another unit', JSON.stringify({ ...FILE, unit: 'ft' }), 'CLICKS_INVALID'],
    [
      'two coordinates',
      JSON.stringify({ ...FILE, clicks: [{ tooth: '17', point: [1, 2] }] }),
      'CLICKS_INVALID',
    ],
    ['a null coordinate', '{"jaw":"upper","clicks":[{"tooth":"17","point":[1,2,null]}]}', 'CLICKS_INVALID'],
    [
      'an unknown tooth',
      JSON.stringify({ ...FILE, clicks: [{ tooth: '19', point: [1, 2, 3] }] }),
      'TOOTH_UNKNOWN',
    ],
    [
      'the other jaw',
      JSON.stringify({ ...FILE, clicks: [{ tooth: '36', point: [1, 2, 3] }] }),
      'TOOTH_WRONG_JAW',
    ],
    ['a missing tooth of the other jaw', JSON.stringify({ ...FILE, missing: ['36'] }), 'TOOTH_WRONG_JAW'],
    ['a fixed tooth without a click', JSON.stringify({ ...FILE, fixed: ['26'] }), 'FIXED_NOT_CLICKED'],
    ['a missing tooth with a click', JSON.stringify({ ...FILE, missing: ['17'] }), 'MISSING_TOOTH_CLICKED'],
  ])('refuses %s', (_, text, expected) => {
    expect(() => parseClickFile(text)).toThrow(code(expected));
  });

  it('says where the file is wrong', () => {
    const text = JSON.stringify({ ...FILE, clicks: [{ tooth: '17', point: [1, 'x', 3] }] });
    expect(() => parseClickFile(text)).toThrow(/clicks\.0\.point\.1/);
  });
});

describe('clicksToScanFrame and writeClickFile', () => {
  it('goes to millimetres about the scan origin and back to the very file', () => {
    const scan = scanOf(sphereMesh(1, 1));
    const moved = { ...scan, originMm: [100, 0, -20] as const };
    const set = clicksToScanFrame(parseClickFile(JSON.stringify(FILE)), moved);
    expect(set.clicks[0]).toEqual({ tooth: 17, point: [-90, 20, 50] });
    const inCm = { ...moved, source: { ...scan.source, unit: { ...scan.source.unit, unit: 'cm' as const } } };
    const text = writeClickFile(set, inCm);
    const [first, gum, second] = parseClickFile(JSON.stringify(FILE)).clicks;
    expect(parseClickFile(text)).toEqual({
      ...parseClickFile(JSON.stringify(FILE)),
      clicks: [first, second, gum],
    });
  });

  it('writes an empty set that can be read again', () => {
    const set: ClickSet = { jaw: 'lower', clicks: [], missing: [], fixed: [] };
    expect(parseClickFile(writeClickFile(set, scanOf(sphereMesh(1, 1)))).clicks).toEqual([]);
  });
});

describe('snapClicks', () => {
  const scan = scanOf(sphereMesh(10, 4));
  const at = (radius: number): ClickSet => ({
    jaw: 'upper',
    clicks: [{ tooth: 11, point: [0, 0.6 * radius, 0.8 * radius] }],
    missing: [],
    fixed: [],
  });

  it('puts a click on the surface', () => {
    const [x, y, z] = snapClicks(scan, at(11.5)).clicks[0]!.point;
    expect(Math.hypot(x, y, z)).toBeCloseTo(10, 1);
    expect(y / z).toBeCloseTo(0.75, 1);
  });

  it('refuses a click farther than 2 mm with the tooth in the sentence', () => {
    expect(() => snapClicks(scan, at(12.5))).toThrow(code('CLICK_OFF_SURFACE'));
    expect(() => snapClicks(scan, at(12.5))).toThrow(/tooth 11 .*2 mm/);
  });
});
