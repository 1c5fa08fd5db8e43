import { expect, test } from 'vitest';
import { FUZZ_TARGETS } from './targets.ts';
import { makeMutant, tryInput } from './try-mutant.ts';

/** Few enough for every run of the suite; `npm run fuzz -- --minutes N` goes on from there. */
const MUTANTS_PER_TARGET = 2500;

test.each(FUZZ_TARGETS)('$name: the seed file itself is read', async (target) => {
  expect(await tryInput(target, { bytes: target.seed, fileName: 'seed' })).toBe('read');
});

test.each(FUZZ_TARGETS)('$name: mutants are read soundly or refused by a typed error', async (target) => {
  const mutants = Math.ceil(MUTANTS_PER_TARGET * (target.share ?? 1));
  const codes = new Map<string, number>();
  for (let serial = 0; serial < mutants; serial++) {
    const mutant = makeMutant(target, 1, serial);
    try {
      const outcome = await tryInput(target, mutant);
      codes.set(outcome, (codes.get(outcome) ?? 0) + 1);
    } catch (error) {
      const shown = Buffer.from(mutant.bytes).toString('base64');
      throw new Error(`mutant ${serial}: ${String(error)}\n${shown}`, { cause: error });
    }
  }
  // The mutations must reach beyond the first check, and leave some files readable.
  expect(codes.size).toBeGreaterThan(1);
  if (mutants > 1000) expect(codes.get('read')).toBeGreaterThan(5);
});

test('a mutant is the same whenever it is made', () => {
  const [target] = FUZZ_TARGETS;
  expect(makeMutant(target!, 7, 11)).toEqual(makeMutant(target!, 7, 11));
  expect(makeMutant(target!, 7, 11).bytes).not.toEqual(makeMutant(target!, 8, 11).bytes);
});
