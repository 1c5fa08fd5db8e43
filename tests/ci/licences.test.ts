import { describe, expect, it } from 'vitest';
import { accepted, licenceTexts, shippedPackages } from '../../.ci/licences.mjs';

describe('licences', () => {
  it('takes an expression when one of its alternatives may be shipped', () => {
    expect(accepted('MIT')).toBe(true);
    expect(accepted('(GPL-3.0-only OR MIT)')).toBe(true);
    expect(accepted('MIT AND ISC')).toBe(true);
    expect(accepted('MIT AND GPL-3.0-only')).toBe(false);
    expect(accepted('GPL-3.0-only')).toBe(false);
    expect(accepted('none stated')).toBe(false);
  });

  it('lists what is shipped, nested packages by their own name, development tools left out', () => {
    const packages = shippedPackages({
      packages: {
        '': { version: '1.0.0' },
        'node_modules/b': { version: '2.0.0', license: 'MIT' },
        'node_modules/b/node_modules/@s/a': { version: '1.0.0' },
        'node_modules/tool': { version: '1.0.0', license: 'GPL-3.0-only', dev: true },
      },
    });
    expect(packages).toEqual([
      { path: 'node_modules/b/node_modules/@s/a', name: '@s/a', version: '1.0.0', licence: 'none stated' },
      { path: 'node_modules/b', name: 'b', version: '2.0.0', licence: 'MIT' },
    ]);
  });

  it('gives the whole text of each', () => {
    const text = licenceTexts();
    expect(text).toMatch(/^three \d+\.\d+\.\d+ \(MIT\)$/m);
    expect(text).toContain('three.js authors');
    expect(text).toMatch(/^solid-js /m);
  });
});
