import { readdirSync, readFileSync } from 'node:fs';
import { expect, it } from 'vitest';
import { FUZZ_TARGETS } from '../fuzz/targets.ts';
import { tryInput } from '../fuzz/try-mutant.ts';

/** What the fuzzer found once: the input that showed it, and what the target must answer since it was mended. */
const FOUND: readonly {
  readonly file: string;
  readonly target: string;
  readonly outcome: string;
  readonly was: string;
}[] = [
  {
    file: 'case-file-its-manifest--7be0d7267ea6.bin',
    target: 'case file, its manifest',
    outcome: 'read',
    was: 'a coordinate -0, which came back as 0 from a case that was saved again',
  },
  {
    file: 'result-planned--a131e731b048.bin',
    target: 'result, planned',
    outcome: 'RESULT_INVALID',
    was: 'a tooth at 10^19 mm, over which the planner failed as its own fault',
  },
  {
    file: 'result-planned--a565ed457601.bin',
    target: 'result, planned',
    outcome: 'RESULT_INVALID',
    was: 'a point of contact at 10^14 mm, over which the planner failed as its own fault',
  },
];

it.each(FOUND)('$was: $outcome', async ({ file, target: name, outcome }) => {
  const target = FUZZ_TARGETS.find((one) => one.name === name);
  const bytes = new Uint8Array(readFileSync(new URL(file, import.meta.url)));
  expect(await tryInput(target!, { bytes, fileName: 'input' })).toBe(outcome);
});

it('every file of this folder is in the list', () => {
  const files = readdirSync(new URL('.', import.meta.url)).filter((name) => name.endsWith('.bin'));
  expect(files.sort()).toEqual(FOUND.map(({ file }) => file).sort());
});
