import * as v from 'valibot';
import { inputError } from '../../src/geometry/archgap-error.ts';
import type { Vec3 } from '../../src/geometry/types.ts';
import type { ToothNumber } from '../../src/teeth/types.ts';

/** What is known of one crown's size: extents along its own axes, mm, and these axes as scan directions. */
export interface TrueSize {
  readonly tooth: ToothNumber;
  readonly mesiodistalMm: number;
  /** Null when the case does not tell it. */
  readonly buccolingualMm: number | null;
  readonly mesial: Vec3;
  readonly buccal: Vec3;
  readonly occlusal: Vec3;
}

const axis = v.tuple([v.number(), v.number(), v.number()]);
const schema = v.object({
  teeth: v.array(
    v.object({
      iso: v.number(),
      true_mesiodistal_width_mm: v.number(),
      mesial_axis: axis,
      buccal_axis: axis,
      occlusal_axis: axis,
    }),
  ),
});

/** Reads the crowns of truth.json as ../shared/data describes them. @throws ArchgapError `TRUTH_INVALID` */
export function readTrueSizes(text: string): TrueSize[] {
  const result = v.safeParse(schema, JSON.parse(text));
  if (!result.success) {
    const issue = result.issues[0];
    throw inputError('TRUTH_INVALID', `truth.json is wrong at ${v.getDotPath(issue)}: ${issue.message}.`);
  }
  return result.output.teeth.map((tooth) => ({
    tooth: tooth.iso,
    mesiodistalMm: tooth.true_mesiodistal_width_mm,
    buccolingualMm: null,
    mesial: tooth.mesial_axis,
    buccal: tooth.buccal_axis,
    occlusal: tooth.occlusal_axis,
  }));
}
