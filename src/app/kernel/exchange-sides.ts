import { archOrder } from '../../teeth/notation.ts';
import type { ToothNumber } from '../../teeth/types.ts';
import type { CaseInputs } from './case-inputs.ts';

interface Pair {
  readonly toothA: ToothNumber;
  readonly toothB: ToothNumber;
}

/**
 * Every tooth takes the number of the same tooth on the other side, as when the row was clicked from the patient's left
 * and numbered from the right. Marks, findings of floss, targets and the tooth of a restoration go along.
 *
 * @returns the same object while the jaw is not known
 */
export function withSidesExchanged(inputs: CaseInputs): CaseInputs {
  const { jaw, clicks, missing, fixed, floss, closure, restoration } = inputs;
  if (jaw === null) return inputs;
  const order = archOrder(jaw);
  const across = (tooth: ToothNumber): ToothNumber => order.at(-1 - order.indexOf(tooth)) ?? tooth;
  // What lay nearer the patient's right of the two lies nearer the left now.
  const pairAcross = <P extends Pair>(pair: P): P => ({
    ...pair,
    toothA: across(pair.toothB),
    toothB: across(pair.toothA),
  });
  const { targets } = closure;
  return {
    ...inputs,
    clicks: clicks.map((click) => (click.tooth === 'gum' ? click : { ...click, tooth: across(click.tooth) })),
    missing: missing.map(across),
    fixed: fixed.map(across),
    floss: floss.map(pairAcross),
    closure: targets === undefined ? closure : { ...closure, targets: targets.map(pairAcross) },
    ...(restoration && restoration.tooth !== null
      ? { restoration: { ...restoration, tooth: across(restoration.tooth) } }
      : {}),
  };
}
