import type { ToothNumber } from '../teeth/types.ts';
import type { Analysis } from './types.ts';

/**
 * The analysis with other teeth that must not be moved: nothing that is measured depends on them.
 *
 * @param fixed - of teeth that are not in the analysis nothing is kept
 * @returns `analysis` itself where it says so already
 */
export function withFixedTeeth(analysis: Analysis, fixed: readonly ToothNumber[]): Analysis {
  if (analysis.teeth.every((record) => record.fixed === fixed.includes(record.tooth))) return analysis;
  return {
    ...analysis,
    teeth: analysis.teeth.map((record) => ({ ...record, fixed: fixed.includes(record.tooth) })),
  };
}
