import { NOTE_CODES } from '../contacts/types.ts';
import type { CONTACT_COLUMNS } from './contacts-csv.ts';
import type { TEETH_COLUMNS } from './teeth-csv.ts';

/** What a column holds, for people and for programs that read the table. */
export interface TableField {
  readonly type: 'string' | 'integer' | 'number';
  readonly description: string;
  /** As in the column's name; left out for what has none. */
  readonly unit?: 'mm' | 'mm2';
  /** The only texts there are. */
  readonly enum?: readonly string[];
  /** Never empty. */
  readonly required?: true;
}

const mm = (description: string): TableField => ({ type: 'number', unit: 'mm', description });
const text = (description: string, values?: readonly string[]): TableField => ({
  type: 'string',
  description,
  ...(values ? { enum: values } : {}),
});
const tooth = (description: string): TableField => ({ type: 'integer', required: true, description });
const JAW: TableField = { ...text('Jaw', ['upper', 'lower']), required: true };

/** The columns of `contacts.csv`. */
export const CONTACT_FIELDS: Readonly<Record<(typeof CONTACT_COLUMNS)[number], TableField>> = {
  scan: text('File name of the scan'),
  jaw: JAW,
  tooth_a: tooth("Tooth nearer the patient's right end of the arch, ISO 3950"),
  tooth_b: tooth('Its neighbour, ISO 3950'),
  status: {
    ...text('What the scan shows against the limit', [
      'open',
      'undecided',
      'closed',
      'bridged',
      'overlap',
      'missing-tooth',
      'not-measurable',
    ]),
    required: true,
  },
  gap_mm: mm('Best estimate of the space, negative = overlap; empty unless both walls were seen'),
  gap_u95_mm: mm('Expanded uncertainty of gap_mm, k = 2'),
  upper_bound_mm: mm('Largest space that could hide where there is no number'),
  nearest_mm: mm('Exact smallest distance of the two observed surfaces, before any correction'),
  clearance_mm: mm('How far the teeth can close along the arch before they touch'),
  bridge: text('The web the scanner laid across', ['none', 'partial', 'full']),
  bridge_height_mm: mm('Height of that web'),
  bridge_width_mm: mm('Width of that web'),
  ax: mm('Closest point on tooth_a, coordinates of the file'),
  ay: mm('Closest point on tooth_a, coordinates of the file'),
  az: mm('Closest point on tooth_a, coordinates of the file'),
  bx: mm('Closest point on tooth_b, coordinates of the file'),
  by: mm('Closest point on tooth_b, coordinates of the file'),
  bz: mm('Closest point on tooth_b, coordinates of the file'),
  height_mm: mm('Height of that place below the occlusal plane, positive towards the gum'),
  slip_mm: mm('Buccolingual offset of the two points'),
  limit_mm: mm('The limit that decided the status'),
  note: text(`Codes with ; between them, of: ${NOTE_CODES.join(', ')}`),
};

/** The columns of `teeth.csv`. */
export const TEETH_FIELDS: Readonly<Record<(typeof TEETH_COLUMNS)[number], TableField>> = {
  scan: text('File name of the scan'),
  jaw: JAW,
  tooth: tooth('Tooth, ISO 3950'),
  mesiodistal_mm: mm('Greatest extent of the crown along its own mesiodistal axis'),
  mesiodistal_u95_mm: mm('Expanded uncertainty of mesiodistal_mm, k = 2'),
  buccolingual_mm: mm('Extent across'),
  buccolingual_u95_mm: mm('Expanded uncertainty of buccolingual_mm, k = 2'),
  crown_height_mm: mm("From the gum's edge in the middle of the cheek side to the crown's top"),
  crown_height_u95_mm: mm('Expanded uncertainty of crown_height_mm, k = 2'),
  area_mm2: { type: 'number', unit: 'mm2', description: 'Labelled surface' },
  fixed: text('Must not be moved', ['yes', 'no']),
  right_x: mm("Outermost place towards the patient's right end of the arch, coordinates of the file"),
  right_y: mm("Outermost place towards the patient's right end of the arch, coordinates of the file"),
  right_z: mm("Outermost place towards the patient's right end of the arch, coordinates of the file"),
  left_x: mm("Outermost place towards the patient's left end of the arch, coordinates of the file"),
  left_y: mm("Outermost place towards the patient's left end of the arch, coordinates of the file"),
  left_z: mm("Outermost place towards the patient's left end of the arch, coordinates of the file"),
};
