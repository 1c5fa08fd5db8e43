/** Only beside a plan. */
const OF_PROPOSALS = 'The proposal is arithmetic on a simple mechanical model, not a prescription.';

/** The cautions that stand beside every result: on the page, in the record and in the note. */
export const CAUTIONS: readonly string[] = [
  'A bridged contact is not proof of contact: the scan runs across from tooth to tooth, and what lies behind was not seen.',
  'Confirm with floss or a strip in the mouth before deciding.',
  'A scan shows what the scanner saw; moisture, movement and shadow between teeth change it.',
  OF_PROPOSALS,
  'A licensed clinician decides, under the rules that hold where they work.',
];

/** Those that stand beside measurements without a plan. */
export const MEASURING_CAUTIONS: readonly string[] = CAUTIONS.filter((caution) => caution !== OF_PROPOSALS);
