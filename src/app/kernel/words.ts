import type { ContactStatus } from '../../contacts/types.ts';
import { formatCount } from '../../scan/format-count.ts';
import type { LengthUnit, ScanFormat } from '../../scan/types.ts';

/** The words of the page for what the core names by code. */

/** What each status means, and what to do next. */
export const STATUS_MEANINGS: Readonly<Record<ContactStatus, string>> = {
  open: 'The whole interval of the space lies above the limit.',
  undecided: 'The interval spans the limit: check this contact with floss or a strip.',
  closed: 'The whole interval of the space lies below the limit.',
  bridged:
    'The scan runs across from tooth to tooth, so the space can’t be seen. That is not proof of contact: check it with floss.',
  overlap: 'The two crowns run into each other.',
  'missing-tooth': 'A tooth is marked as missing here: an edentulous space, not a residual space.',
  'not-measurable': 'The scan does not show both walls well enough for a number; the notes say why.',
};

/** Of a contact over a tooth that nobody clicked or called missing, whatever its status. */
export const NOT_CLICKED_MEANING =
  'A tooth between the two has no click and is not marked missing; its site is taken to be empty until one is said.';

export const UNIT_WORDS: Readonly<Record<LengthUnit, string>> = {
  mm: 'millimetres',
  cm: 'centimetres',
  m: 'metres',
  in: 'inches',
};

export const FORMAT_WORDS: Readonly<Record<ScanFormat, string>> = {
  'stl-ascii': 'STL, text',
  'stl-binary': 'STL, binary',
  'ply-ascii': 'PLY, text',
  'ply-binary-le': 'PLY, binary',
  'ply-binary-be': 'PLY, binary, big-endian',
};

/** `1 tooth`, `14 teeth`. */
export function counted(count: number, one: string, many: string): string {
  return `${formatCount(count)} ${count === 1 ? one : many}`;
}

/** `40 kB`, `13.9 MB`. */
export function fileSize(bytes: number): string {
  if (bytes < 1e6) return `${Math.max(1, Math.round(bytes / 1e3))} kB`;
  return `${(bytes / 1e6).toFixed(1)} MB`;
}

/** The columns of the contact table. */
export const COLUMN_MEANINGS: readonly (readonly [string, string])[] = [
  [
    'Space',
    'The smallest distance between the two crowns, best estimate. After ± the expanded uncertainty with k = 2: the true space lies within it in about 95 of 100 cases.',
  ],
  [
    'At most',
    'The largest space that could hide where the scan shows none: an upper bound, never a measurement.',
  ],
  [
    'Clearance',
    'How far the two teeth can close along the arch before they touch; larger than the space where the walls meet obliquely.',
  ],
  ['*', 'The contact carries a remark; choose it to read it.'],
];

/** What the sizes of a crown are, where they come from, and how well they are known. */
export const SIZE_MEANINGS: readonly (readonly [string, string])[] = [
  [
    'Mesiodistal',
    'Greatest extent of the crown along its own mesiodistal axis, as a caliper finds it between the contact areas. ± follows from the errors against known widths of synthetic scans (validation page); a side hidden by a web counts more.',
  ],
  ['Buccolingual', 'Greatest extent across that axis. ± from the same comparison.'],
  [
    'Above the gum',
    'From the edge of the gum in the middle of the cheek side to the top of the crown, along the occlusal axis. ± holds the edge’s own uncertainty; it is no anatomical crown height.',
  ],
];
