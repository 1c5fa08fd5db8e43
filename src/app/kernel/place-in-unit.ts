import type { ScanFacts } from '../../../workers/analysis-api.ts';
import type { Vec3 } from '../../geometry/types.ts';
import { MM_PER_UNIT } from '../../scan/units.ts';

/** A point of the scan frame `from` to the same place of the same file read as `to`: only unit and origin differ. */
export function placeInUnit(from: ScanFacts, to: ScanFacts): (point: Vec3) => Vec3 {
  const factor = MM_PER_UNIT[to.source.unit.unit] / MM_PER_UNIT[from.source.unit.unit];
  return (point) => [
    (point[0] + from.originMm[0]) * factor - to.originMm[0],
    (point[1] + from.originMm[1]) * factor - to.originMm[1],
    (point[2] + from.originMm[2]) * factor - to.originMm[2],
  ];
}
