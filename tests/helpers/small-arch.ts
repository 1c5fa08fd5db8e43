import { makeArch, type SyntheticArch } from '../../fixtures/make-arch.ts';
import { FRONT } from '../../fixtures/specs.ts';

/** Four upper incisors of the project's own generator: 12-11 0.08 mm (bridged), 11-21 0.50 (open), 21-22 touching. */
export const SMALL_ARCH = { ...FRONT, gridMm: 0.26 } as const;

let made: SyntheticArch | null = null;

/** Made once for all files that share a thread: nobody writes into it. */
export function smallArch(): SyntheticArch {
  made ??= makeArch(SMALL_ARCH);
  return made;
}
