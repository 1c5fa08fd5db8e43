import { makeArch } from '../../fixtures/make-arch.ts';
import { FRONT } from '../../fixtures/specs.ts';

/** Four front teeth, coarse: small enough for hundreds of rounds, large enough that a scan kept by mistake shows. */
export const makeSoakArch = () => makeArch({ ...FRONT, gridMm: 0.3, toothEdgeMm: 0.34, gumEdgeMm: 0.9 });
