import { describe, expect, it } from 'vitest';
import { runCli } from '../../src/cli/run-cli.ts';
import { writeResultJson } from '../../src/report/write-result-json.ts';
import { makeAnalysis } from '../helpers/make-analysis.ts';
import { makeMemoryWorld } from '../helpers/memory-io.ts';

const META = { version: '0.0.0' };
const FILES = {
  'u.json': writeResultJson(makeAnalysis({ jaw: 'upper' }), META),
  'l.json': writeResultJson(makeAnalysis({ jaw: 'lower' }), META),
};

describe('archgap bolton', () => {
  it('prints both ratios of textbook teeth with their source', async () => {
    const world = makeMemoryWorld(FILES);
    expect(await runCli(['bolton', 'u.json', 'l.json'], world.io)).toBe(0);
    expect(world.stdout()).toContain('Bolton, twelve teeth (6 to 6): 91.4 %.');
    expect(world.stdout()).toContain(
      'Bolton, six teeth (3 to 3): 77.8 %. 0.26 mm too much tooth width in the lower',
    );
    expect(world.stdout()).toContain('Angle Orthod 28:113');
  });

  it('prints the same as JSON', async () => {
    const world = makeMemoryWorld(FILES);
    expect(await runCli(['bolton', 'u.json', 'l.json', '--json'], world.io)).toBe(0);
    const [overall, anterior] = JSON.parse(world.stdout());
    expect(overall).toMatchObject({ kind: 'overall', upper_sum_mm: 93, lower_sum_mm: 85, reason: null });
    expect(anterior.excess).toMatchObject({ jaw: 'lower', mm: expect.closeTo(0.26, 6), u95_mm: null });
  });

  it('refuses arches in the wrong order as wrong usage', async () => {
    const world = makeMemoryWorld(FILES);
    expect(await runCli(['bolton', 'l.json', 'u.json'], world.io)).toBe(2);
    expect(world.stderr()).toMatch(/^archgap: BOLTON_JAWS: /);
  });
});
