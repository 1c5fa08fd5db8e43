import { inputError } from '../geometry/archgap-error.ts';
import { type FileBytes, stretchOf } from './file-bytes.ts';
import { formatCount } from './format-count.ts';
import { latin1 } from './text-scanner.ts';

/** Which reader a file is for. */
export type DetectedFormat = 'stl-ascii' | 'stl-binary' | 'ply';

/** Bytes looked at to tell text from binary and to recognise other formats, after a byte order mark. */
const HEAD_LENGTH = 4096;
const MARK_LENGTH = 3;
/** Binary STL: 80 bytes of free text, a 32-bit count, 50 bytes a triangle. */
export const STL_HEADER_BYTES = 84;
export const STL_TRIANGLE_BYTES = 50;

const UNPACK = 'Unpack it and give the STL or PLY file inside.';
const EXPORT = 'Export the scan as STL or PLY.';

interface ForeignFormat {
  readonly format: string;
  /** Whether the first bytes, as Latin-1 text, are of this format. */
  readonly is: (head: string) => boolean;
  readonly name: string;
  readonly advice: string;
}

const begins =
  (...marks: readonly string[]) =>
  (head: string): boolean =>
    marks.some((mark) => head.startsWith(mark));

/** Formats that arrive by mistake: how their bytes begin, what they are, what to do. */
const FOREIGN: readonly ForeignFormat[] = [
  { format: 'gzip', is: begins('\x1f\x8b'), name: 'a gzip archive', advice: UNPACK },
  {
    format: '3mf',
    is: (head) => head.startsWith('PK\x03\x04') && head.includes('3D/'),
    name: 'a 3MF package',
    advice: EXPORT,
  },
  {
    format: 'zip',
    is: begins('PK\x03\x04', 'PK\x05\x06', 'PK\x07\x08'),
    name: 'a zip archive',
    advice: UNPACK,
  },
  { format: '7z', is: begins('7z\xbc\xaf'), name: 'a 7z archive', advice: UNPACK },
  { format: 'rar', is: begins('Rar!'), name: 'a RAR archive', advice: UNPACK },
  { format: 'bzip2', is: (head) => /^BZh\d/.test(head), name: 'a bzip2 archive', advice: UNPACK },
  { format: 'xz', is: begins('\xfd7zXZ'), name: 'an xz archive', advice: UNPACK },
  { format: 'zstd', is: begins('\x28\xb5\x2f\xfd'), name: 'a Zstandard archive', advice: UNPACK },
  { format: 'glb', is: begins('glTF'), name: 'a binary glTF file', advice: EXPORT },
  {
    format: 'utf-16',
    is: begins('\xff\xfe', '\xfe\xff'),
    name: 'UTF-16 text',
    advice: 'Save it as UTF-8 or export the scan again.',
  },
  {
    format: 'lfs',
    is: begins('version https://git-lfs'),
    name: 'a Git LFS pointer',
    advice: 'Fetch the file that it points to.',
  },
  { format: 'pdf', is: begins('%PDF'), name: 'a PDF document', advice: EXPORT },
  { format: 'png', is: begins('\x89PNG'), name: 'a PNG picture', advice: EXPORT },
  { format: 'jpeg', is: begins('\xff\xd8\xff'), name: 'a JPEG picture', advice: EXPORT },
  { format: 'dicom', is: (head) => head.slice(128, 132) === 'DICM', name: 'a DICOM file', advice: EXPORT },
  {
    format: 'html',
    is: (head) => /^\s*<(!doctype html|html)/i.test(head),
    name: 'a web page (HTML)',
    advice: 'The download may have failed; fetch the scan itself.',
  },
  { format: 'xml', is: (head) => /^\s*<[?!a-z]/i.test(head), name: 'an XML file', advice: EXPORT },
  { format: 'vtk', is: (head) => /^# vtk datafile/i.test(head), name: 'a legacy VTK file', advice: EXPORT },
  { format: 'off', is: (head) => /^\s*(ST)?C?N?OFF\s/.test(head), name: 'an OFF file', advice: EXPORT },
  {
    format: 'json',
    is: (head) => /^\s*[{[]\s*["{[\]}\d-]/.test(head),
    name: 'JSON text',
    advice: 'Give the scan itself (STL or PLY) in its place.',
  },
  {
    format: 'obj',
    is: (head) =>
      /(^|[\r\n])(v\s+[-+.\d]\S*\s+[-+.\d]\S*\s+[-+.\d]|f\s+\d+(\/\d*)*\s+\d|mtllib\s|usemtl\s)/.test(head),
    name: 'an OBJ file',
    advice: EXPORT,
  },
];

/** Offset behind a UTF-8 byte order mark, else 0. */
export function afterByteOrderMark(bytes: Uint8Array): number {
  return bytes[0] === 0xef && bytes[1] === 0xbb && bytes[2] === 0xbf ? 3 : 0;
}

/** What the count of a binary STL says; null when the file is too short to hold one. */
function binaryStlCount(bytes: Uint8Array): number | null {
  if (bytes.length < STL_HEADER_BYTES) return null;
  return new DataView(bytes.buffer, bytes.byteOffset).getUint32(80, true);
}

/** "solid" at the beginning does not make a text: many binary headers begin so. A text has no control bytes. */
function looksLikeAsciiStl(head: string): boolean {
  if (!/^\s*solid(\s|$)/i.test(head)) return false;
  return (
    !hasControlBytes(withoutPadding(head).slice(0, 1024)) &&
    (/\s(facet|endsolid)(\s|$)/i.test(head) || head.length < 84)
  );
}

/** Text without the NUL and ^Z that some writers append. */
function withoutPadding(text: string): string {
  let end = text.length;
  while (end > 0 && [0, 26].includes(text.charCodeAt(end - 1))) end--;
  return text.slice(0, end);
}

function hasControlBytes(text: string): boolean {
  for (let i = 0; i < text.length; i++) {
    const code = text.charCodeAt(i);
    if (code < 9 || (code > 13 && code < 32 && code !== 26)) return true;
  }
  return false;
}

/** Whether the first triangles hold finite coordinates of a believable size: then a wrong length is damage. */
function firstTrianglesAreBelievable(bytes: Uint8Array): boolean {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const whole = Math.floor((bytes.length - STL_HEADER_BYTES) / STL_TRIANGLE_BYTES);
  if (whole < 1) return false;
  for (let t = 0; t < Math.min(whole, 8); t++) {
    for (let k = 3; k < 12; k++) {
      const value = Math.abs(view.getFloat32(STL_HEADER_BYTES + STL_TRIANGLE_BYTES * t + 4 * k, true));
      if (!(value === 0 || (value > 1e-9 && value < 1e6))) return false;
    }
  }
  return true;
}

/**
 * Decides which reader a file is for, from its first bytes and its length; the name only words the message when nothing fits.
 * A binary STL is recognised by its length (84 + 50 n), so that a header that begins with "solid" does not matter.
 *
 * @throws ArchgapError input `FILE_EMPTY`, `FORMAT_UNSUPPORTED` (details.format), `STL_TRUNCATED`, `NOT_A_SCAN`
 */
export function detectFormat(file: FileBytes, fileName: string): DetectedFormat {
  const { length } = file;
  if (length === 0) {
    throw inputError(
      'FILE_EMPTY',
      `The file "${fileName}" is empty (0 bytes). Export or copy the scan again.`,
    );
  }
  const bytes = stretchOf(file, 0, Math.min(length, MARK_LENGTH + HEAD_LENGTH));
  const start = afterByteOrderMark(bytes);
  const head = latin1(bytes, start, Math.min(bytes.length, start + HEAD_LENGTH));
  if (/^ply(\s|$)/i.test(head)) return 'ply';

  const count = binaryStlCount(bytes);
  const expected = count === null ? null : STL_HEADER_BYTES + STL_TRIANGLE_BYTES * count;
  if (expected === length) return 'stl-binary';
  if (looksLikeAsciiStl(head)) return 'stl-ascii';

  for (const { format, is, name, advice } of FOREIGN) {
    if (is(head)) {
      const sentence = `The file "${fileName}" is ${name}, not an STL or PLY scan. ${advice}`;
      throw inputError('FORMAT_UNSUPPORTED', sentence, { details: { format } });
    }
  }

  const namedStl = /\.stl$/i.test(fileName);
  if (namedStl && count === null) {
    throw inputError(
      'STL_TRUNCATED',
      `The file "${fileName}" has only ${formatCount(length)} bytes; the header of a binary STL alone takes 84. Export or copy it again.`,
    );
  }
  if (namedStl && withoutPadding(head) === '') {
    throw inputError(
      'NOT_A_SCAN',
      `The file "${fileName}" begins with nothing but zero bytes, where an STL has its header and triangles: it was not written to its end, or is not a scan. Export or copy it again.`,
    );
  }
  // Four kilobytes of binary triangles are never all printable.
  if (namedStl && !hasControlBytes(withoutPadding(head))) {
    const [first = ''] = head.trim().split(/\s+/, 1);
    throw inputError(
      'STL_SYNTAX',
      `The text of "${fileName}" begins with "${first.slice(0, 24)}" where "solid" belongs. Export it again.`,
      { details: { found: first.slice(0, 40) } },
    );
  }
  if (namedStl || firstTrianglesAreBelievable(bytes)) return 'stl-binary';
  throw inputError(
    'NOT_A_SCAN',
    `The file "${fileName}" is neither STL nor PLY: it begins with none of their marks. ${EXPORT}`,
  );
}
