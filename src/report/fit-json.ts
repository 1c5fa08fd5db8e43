import type { FitSide, FitTarget } from '../contacts/fit-types.ts';
import type { FitView } from '../contacts/fit-view.ts';
import type { Vec3 } from '../geometry/types.ts';
import { add } from '../geometry/vec3.ts';
import type { ScanWarning } from '../scan/scan-warnings.ts';
import type { ScanSource } from '../scan/types.ts';
import type { ToothNumber } from '../teeth/types.ts';
import { sourceToJson } from './scan-facts-json.ts';
import { warningJson } from './warning-json.ts';

/** What `fit.json` and the record are written from. */
export interface FitRecord {
  readonly tooth: ToothNumber;
  readonly restoration: ScanSource;
  readonly scan: ScanSource;
  /** Of the scan: add to a point to get the file's coordinates, mm. */
  readonly originMm: Vec3;
  readonly target: FitTarget;
  readonly sides: readonly FitSide[];
  /** The pictures of each side; null where nothing stands there. */
  readonly views: readonly (FitView | null)[];
  readonly warnings: readonly ScanWarning[];
}

/** The fit as JSON, schema `archgap-fit/1`; points in the coordinates of the scan's file, mm. */
export function writeFitJson(record: FitRecord, meta: { readonly version: string }): string {
  const document = {
    schema: 'archgap-fit/1',
    software: { name: 'archgap', version: meta.version },
    tooth: String(record.tooth),
    restoration: sourceToJson(record.restoration),
    scan: sourceToJson(record.scan),
    target: { wide_mm: record.target.wideMm, tight_mm: record.target.tightMm },
    sides: record.sides.map((side) => ({
      side: side.side,
      neighbour: side.neighbour === null ? null : String(side.neighbour),
      status: side.status,
      space_mm: side.space?.valueMm ?? null,
      space_u95_mm: side.space?.u95Mm ?? null,
      deeper_than_mm: side.deeperThanMm,
      at_most_mm: side.atMostMm,
      add_mm: side.addMm,
      point: side.point && add(side.point, record.originMm),
      height_mm: side.heightMm,
      buccal_mm: side.buccalMm,
      contact_area_20um_mm2: side.within20umMm2,
      contact_area_50um_mm2: side.within50umMm2,
      notes: [...side.notes],
    })),
    warnings: record.warnings.map(warningJson),
  };
  return `${JSON.stringify(document, null, 2)}\n`;
}
