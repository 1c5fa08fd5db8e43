import { describe, expect, it } from 'vitest';
import { fillTemplate } from './fill-template.ts';

describe('fillTemplate', () => {
  it('puts parts in their places, dollar signs and all', () => {
    expect(fillTemplate('a\n{{table}}\nb {{no-place}}\n', { table: '| $1 |' })).toBe(
      'a\n| $1 |\nb {{no-place}}\n',
    );
  });

  it('refuses a place without a part and a part without a place', () => {
    expect(() => fillTemplate('{{table}}\n', {})).toThrow(/table/);
    expect(() => fillTemplate('text\n', { plot: '' })).toThrow(/plot/);
  });
});
