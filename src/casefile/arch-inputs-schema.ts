import * as v from 'valibot';
import { scannerProfileSchema } from '../contacts/scanner-profile.ts';
import { isToothNumber } from '../teeth/notation.ts';

/** More clicks than any arch needs, long painted strokes included. */
const MOST_CLICKS = 100_000;
const MOST_TEETH = 64;
const LONGEST_NOTE = 100_000;
const LONGEST_LINE = 200;
/** As the command line takes it (`--limit`, `--floss`, `--over-close`). */
const MOST_SPACE_MM = 5;
const MOST_OVER_CLOSURE_MM = 0.5;

/** Minus nothing becomes nothing: JSON could not write it again. */
const mm = v.pipe(
  v.number(),
  v.finite(),
  v.transform((value) => value + 0),
);
const tooth = v.pipe(v.number(), v.check(isToothNumber, 'no ISO 3950 tooth number'));
const teeth = v.pipe(v.array(tooth), v.maxLength(MOST_TEETH));
const part = v.nullable(v.picklist(['anterior', 'posterior', 'none']));
const within = (least: number, most: number) => v.pipe(mm, v.minValue(least), v.maxValue(most));
const line = v.pipe(v.string(), v.maxLength(LONGEST_LINE));
const text = v.pipe(v.string(), v.maxLength(LONGEST_NOTE));

/** What must hold for `ArchInputs` that come from a file or from the device. Unknown fields are left out. */
export const archInputsSchema = v.object({
  jaw: v.nullable(v.picklist(['upper', 'lower'])),
  clicks: v.pipe(
    v.array(v.object({ tooth: v.union([tooth, v.literal('gum')]), point: v.tuple([mm, mm, mm]) })),
    v.maxLength(MOST_CLICKS),
  ),
  missing: teeth,
  fixed: teeth,
  floss: v.pipe(
    v.array(
      v.object({
        toothA: tooth,
        toothB: tooth,
        finding: v.picklist(['open', 'closed']),
        spaceMm: v.exactOptional(v.nullable(v.pipe(mm, v.gtValue(0), v.maxValue(MOST_SPACE_MM)))),
        foundOn: v.exactOptional(v.nullable(v.pipe(v.string(), v.isoDate()))),
      }),
    ),
    v.maxLength(MOST_TEETH),
  ),
  limitMm: within(0, MOST_SPACE_MM),
  closure: v.object({
    // Page and practice offer less than this: what lies beyond was damaged or written by hand, and a plan of millions
    // of stages, or of none that moves anything, is no plan.
    maxStages: v.pipe(within(1, 99), v.integer()),
    perStageMm: within(0.001, 2),
    perStageRad: within(0.001, 0.2),
    expression: within(0.1, 1),
    rotationArmMm: within(0.1, 50),
    moved: part,
    reduction: part,
    spanRule: v.exactOptional(v.picklist(['shortest', 'widens-nothing', 'terminal-molars'])),
    targets: v.exactOptional(
      v.pipe(
        v.array(v.object({ toothA: tooth, toothB: tooth, targetMm: within(-MOST_OVER_CLOSURE_MM, 0) })),
        v.maxLength(MOST_TEETH),
      ),
    ),
  }),
  note: v.exactOptional(v.nullable(v.object({ text, basis: text }))),
  heading: v.exactOptional(v.object({ patient: line, practice: line })),
  scannedOn: v.exactOptional(v.nullable(v.pipe(v.string(), v.isoDate()))),
  scanner: v.exactOptional(v.nullable(scannerProfileSchema)),
  scannerTakenOver: v.exactOptional(v.literal(true)),
});

/** More scans of one arch than any treatment takes. */
export const MOST_EARLIER_SCANS = 100;

/** The user's word for a unit, null = decided from the size. */
export const unitSchema = v.nullable(v.picklist(['mm', 'cm', 'm', 'in']));

/** Origin of a scan frame, mm. */
export const originSchema = v.nullable(v.tuple([mm, mm, mm]));
