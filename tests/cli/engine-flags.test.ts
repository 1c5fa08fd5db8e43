import { spawnSync } from 'node:child_process';
import { describe, expect, it } from 'vitest';
import { engineFlags } from '../../src/cli/engine-flags.ts';

describe('switches of the engine', () => {
  it('are known to the engine they are meant for', () => {
    const flags = engineFlags('11.3.244.8-node.30');
    expect(flags.length).toBeGreaterThan(0);
    // Another engine may have none of them; the one that runs here is asked for what it is given.
    const given = engineFlags(process.versions.v8);
    const { status, stderr } = spawnSync(process.execPath, [...given, '--eval', '0'], { encoding: 'utf8' });
    expect({ status, stderr }).toEqual({ status: 0, stderr: '' });
  });

  it('are left alone where they were not measured', () => {
    expect(engineFlags('12.4.254.21-node.33')).toEqual([]);
    expect(engineFlags('11.31.1')).toEqual([]);
  });
});
