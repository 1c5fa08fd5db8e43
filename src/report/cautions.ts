const OF_BRIDGED =
  'A bridged contact is not proof of contact: the scan runs across from tooth to tooth, and what lies behind was not seen.';
const OF_FLOSS = 'Confirm with floss or a strip in the mouth before deciding.';
const OF_SCANS = 'A scan shows what the scanner saw; moisture, movement and shadow between teeth change it.';
const OF_PROPOSALS = 'The proposal is arithmetic on a simple mechanical model, not a prescription.';
const OF_WALLS =
  'A space “by the earlier walls” or “by the new walls” holds only where no wall was ground, filled or built up between the scans.';
const OF_DECIDING = 'A licensed clinician decides, under the rules that hold where they work.';

/** The cautions that stand beside every result: in the record and in the note, and on the page each where it belongs. */
export const CAUTIONS: readonly string[] = [OF_BRIDGED, OF_FLOSS, OF_SCANS, OF_PROPOSALS, OF_DECIDING];

/** Those that stand beside measurements without a plan. */
export const MEASURING_CAUTIONS: readonly string[] = CAUTIONS.filter((caution) => caution !== OF_PROPOSALS);

/** Those that stand beside a plan whose measurements stand, with their own cautions, elsewhere on the page. */
export const PLAN_CAUTIONS: readonly string[] = [OF_PROPOSALS, OF_FLOSS, OF_DECIDING];

/** Those that stand beside a comparison on the page, where those of measurements and plan stand with their numbers. */
export const COMPARING_CAUTIONS: readonly string[] = [OF_BRIDGED, OF_WALLS, OF_FLOSS, OF_DECIDING];

/** All that concern a comparison which stands alone. */
export const COMPARISON_CAUTIONS: readonly string[] = [...CAUTIONS, OF_WALLS];
