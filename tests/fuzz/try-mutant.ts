import { ArchgapError } from '../../src/geometry/archgap-error.ts';
import { seededRandom } from '../helpers/random.ts';
import type { FuzzTarget } from './fuzz-target.ts';
import { mutate } from './mutate.ts';

const FILE_NAMES = ['scan.stl', 'scan.ply', 'scan', 'input.json'] as const;

/** One input made from a target's seed file, the same for the same numbers on every machine. */
export interface Mutant {
  readonly bytes: Uint8Array;
  readonly fileName: string;
}

/** @param serial - which mutant of this run, from 0 */
export function makeMutant(target: FuzzTarget, seed: number, serial: number): Mutant {
  const random = seededRandom(Math.imul(seed + 1, 0x9e3779b1) ^ Math.imul(serial + 1, 0x85ebca6b));
  const below = (limit: number) => Math.floor(random() * limit);
  const bytes = mutate(target.seed, below);
  return { bytes, fileName: FILE_NAMES[below(FILE_NAMES.length)]! };
}

/**
 * Gives a target one input.
 *
 * @returns `read`, or the code of the typed refusal
 * @throws Error when the target did anything else: another fault, an unsound result, a message that is no sentence
 */
export async function tryInput(target: FuzzTarget, { bytes, fileName }: Mutant): Promise<string> {
  try {
    await target.read(bytes, fileName);
    return 'read';
  } catch (error) {
    if (!(error instanceof ArchgapError) || error.kind !== 'input') {
      throw new Error(`"${target.name}" answered with ${String(error)}`, { cause: error });
    }
    if (!/^[A-Z"].*[.]$/s.test(error.message)) throw new Error(`not a sentence: ${error.message}`);
    return error.code;
  }
}
