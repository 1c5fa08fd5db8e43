import { expect, it } from 'vitest';
import { runCli } from '../../src/cli/run-cli.ts';
import { makeMemoryWorld } from '../helpers/memory-io.ts';
import { sphereCrownFiles } from '../helpers/sphere-crowns.ts';

const CROWNS = ['12', '11'].flatMap((tooth) => ['--crown', `${tooth}=${tooth}.stl`]);
const MEASURE = ['measure', ...CROWNS, '--jaw', 'upper', '--out', 'case'];

it('a plan of an earlier run beside another result is told and stays; of that very result it is not told', async () => {
  const world = makeMemoryWorld(sphereCrownFiles(0.3));
  for (const argv of [MEASURE, ['plan', 'case/result.json', '--out', 'case'], MEASURE])
    expect(await runCli(argv, world.io)).toBe(0);
  expect(world.stdout()).not.toContain('PLAN_OF_EARLIER_RESULT');
  expect(await runCli([...MEASURE, '--limit', '0.2'], world.io)).toBe(0);
  expect(world.stdout()).toMatch(/Note PLAN_OF_EARLIER_RESULT: "case\/plan\.json" .* plan again/);
  expect(world.files.has('/here/case/plan.json')).toBe(true);
  // And where a plan is refused.
  world.files.set('/here/none.json', new TextEncoder().encode('{}'));
  expect(await runCli(['plan', 'none.json', '--out', 'case'], world.io)).toBe(3);
  expect(world.stderr()).toMatch(
    /^archgap: RESULT_WRONG_SCHEMA: "none\.json": .* "case\/plan\.json" is of an earlier run and was left as it is\.\n$/,
  );
});
