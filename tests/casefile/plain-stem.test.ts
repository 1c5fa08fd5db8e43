import { describe, expect, it } from 'vitest';
import { plainStem } from '../../src/casefile/plain-stem.ts';

describe('plainStem', () => {
  it.each([
    ['scan.ply', 'scan'],
    ['2026-01-05 upper jaw.stl', '2026-01-05-upper-jaw'],
    ['Oberkiefer é.ply', 'Oberkiefer-é'],
    ['../../x.stl', 'x'],
    ['.hidden.', 'hidden'],
    ['<>.stl', 'scan'],
    ['', 'scan'],
  ])('makes of %j the name %j', (name, stem) => {
    expect(plainStem(name)).toBe(stem);
  });

  it('keeps a name within what file systems take', () => {
    expect(plainStem(`${'a'.repeat(300)}.ply`)).toHaveLength(80);
  });
});
