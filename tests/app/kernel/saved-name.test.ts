import { describe, expect, it } from 'vitest';
import { savedPrefix } from '../../../src/app/kernel/saved-name.ts';

describe('savedPrefix', () => {
  it('tells the two arches of one case apart, whose scans are called alike', () => {
    expect(savedPrefix('scan.ply', false, 'upper')).toBe('scan-upper-');
    expect(savedPrefix('scan.ply', false, 'lower')).toBe('scan-lower-');
    expect(savedPrefix('demo-scan.ply', true, 'upper')).toBe('demo-upper-');
  });

  it('says a jaw once that the name says already, and adds it to a name that only sounds so', () => {
    expect(savedPrefix('p01 Upper.stl', false, 'upper')).toBe('p01-Upper-');
    expect(savedPrefix('p01_upper.stl', false, 'upper')).toBe('p01_upper-');
    expect(savedPrefix('p01-upper.stl', false, 'lower')).toBe('p01-upper-lower-');
    expect(savedPrefix('uppermost.stl', false, 'upper')).toBe('uppermost-upper-');
  });
});
