import { describe, expect, it } from 'vitest';
import { solveChain } from '../../src/closure/chain-model.ts';
import { chainOf, textbookArch } from '../closure/textbook-arch.ts';

/**
 * Outside check of the chain model. Chung and Wolfgramm, Am J Orthod Dentofacial Orthop 147:235, 2015: 1.66 mm of
 * arch perimeter per mm of incisor movement (30 maxillary casts, width held), so 1 mm of closed space takes the
 * incisors back by 0.60 mm. The model knows nothing of that figure: it has root surfaces and a textbook arch.
 */
const PUBLISHED_BACK_PER_MM = 1 / 1.66;

describe('incisor retraction per mm of closed space, second molars held', () => {
  it.each([
    [60, 45],
    [56, 44],
    [64, 48],
    [56, 40],
  ])('beta curve W %s, D %s: within 5 % of the published slope', (W, D) => {
    const arch = textbookArch(new Array<number>(13).fill(1 / 13), { W, D });
    const { bodies, contacts } = chainOf(arch, [17, 27]);
    const solution = solveChain({ bodies, contacts, rotationArmMm: 4 });
    if (!solution.solved) throw new Error('expected a solution');
    const back = -(solution.motions[6]!.dy + solution.motions[7]!.dy) / 2;
    expect(Math.abs(back / PUBLISHED_BACK_PER_MM - 1)).toBeLessThan(0.05);
  });
});
