/** Signatures and places of a zip's records: APPNOTE.TXT of the format, 4.3.7 to 4.3.16, all little-endian. */
const END_SIGNATURE = 0x06054b50;
const END_BYTES = 22;
const WIDE_END_SIGNATURE = 0x06064b50;
const LOCATOR_BYTES = 20;
const ENTRY_SIGNATURE = 0x02014b50;
const ENTRY_BYTES = 46;
/** Stands in the narrow record where the number stands in the wide one. */
const IN_WIDE_RECORD = 0xffffffff;

/** CRC-32 as zip and PNG have it, reflected, of the polynomial 0xedb88320 (ISO/IEC 15948, annex D). */
const TABLE = Uint32Array.from({ length: 256 }, (_, byte) => {
  let rest = byte;
  for (let bit = 0; bit < 8; bit += 1) rest = (rest >>> 1) ^ (rest & 1 ? 0xedb88320 : 0);
  return rest;
});

function crc32(bytes: Uint8Array): number {
  let rest = 0xffffffff;
  for (const byte of bytes) rest = TABLE[(rest ^ byte) & 0xff]! ^ (rest >>> 8);
  return ~rest >>> 0;
}

/**
 * Whether an entry that was unpacked is the one that was packed, by the checksum in the zip's directory. Unpacking by
 * itself does not tell: a changed bit gives other letters as often as no text at all.
 *
 * @returns false also where the directory does not hold the entry
 */
export function agreesWithZip(zip: Uint8Array, name: string, content: Uint8Array): boolean {
  const wanted = new TextEncoder().encode(name);
  const view = new DataView(zip.buffer, zip.byteOffset, zip.byteLength);
  for (let at = directoryAt(view); at >= 0 && isRecord(view, at, ENTRY_SIGNATURE, ENTRY_BYTES); ) {
    const nameLength = view.getUint16(at + 28, true);
    const found = zip.subarray(at + ENTRY_BYTES, at + ENTRY_BYTES + nameLength);
    if (found.length === wanted.length && found.every((byte, k) => byte === wanted[k]))
      return view.getUint32(at + 16, true) === crc32(content);
    at += ENTRY_BYTES + nameLength + view.getUint16(at + 30, true) + view.getUint16(at + 32, true);
  }
  return false;
}

function isRecord(view: DataView, at: number, signature: number, bytes: number): boolean {
  return at >= 0 && at + bytes <= view.byteLength && view.getUint32(at, true) === signature;
}

/** Where the directory begins, or -1. A comment may follow the record at the end that says it. */
function directoryAt(view: DataView): number {
  for (let end = view.byteLength - END_BYTES; end >= 0; end -= 1) {
    if (!isRecord(view, end, END_SIGNATURE, END_BYTES)) continue;
    const at = view.getUint32(end + 16, true);
    if (at !== IN_WIDE_RECORD || end < LOCATOR_BYTES) return at;
    const wide = Number(view.getBigUint64(end - LOCATOR_BYTES + 8, true));
    return isRecord(view, wide, WIDE_END_SIGNATURE, 56) ? Number(view.getBigUint64(wide + 48, true)) : -1;
  }
  return -1;
}
