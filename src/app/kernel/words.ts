import type { ContactStatus } from '../../contacts/types.ts';
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
  return `${count.toLocaleString('en-GB')} ${count === 1 ? one : many}`;
}

/** `40 kB`, `13.9 MB`. */
export function fileSize(bytes: number): string {
  if (bytes < 1e6) return `${Math.max(1, Math.round(bytes / 1e3))} kB`;
  return `${(bytes / 1e6).toFixed(1)} MB`;
}
