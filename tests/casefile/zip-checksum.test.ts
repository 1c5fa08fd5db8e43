import { crc32, deflateRawSync } from 'node:zlib';
import { strToU8, zipSync } from 'fflate';
import { describe, expect, it } from 'vitest';
import { agreesWithZip } from '../../src/casefile/zip-checksum.ts';

const files = { 'a.txt': strToU8('123456789'), 'b/ä.bin': Uint8Array.from({ length: 256 }, (_, k) => k) };

describe('agreesWithZip', () => {
  it('knows an entry that is as it was packed from one that is not, and one that is not there', () => {
    const zip = zipSync(files);
    for (const [name, content] of Object.entries(files)) {
      expect(agreesWithZip(zip, name, content), name).toBe(true);
      expect(
        agreesWithZip(
          zip,
          name,
          content.map((byte) => byte ^ 1),
        ),
        name,
      ).toBe(false);
      expect(agreesWithZip(zip, name, content.subarray(1)), name).toBe(false);
    }
    expect(agreesWithZip(zip, 'a.tx', files['a.txt'])).toBe(false);
    expect(agreesWithZip(zip, 'c.txt', files['a.txt'])).toBe(false);
  });

  it('reads the check value of the algorithm: CRC-32 of "123456789" is cbf43926', () => {
    const zip = zipSync({ 'a.txt': files['a.txt'] }, { level: 0 });
    const view = new DataView(zip.buffer);
    const directory = view.getUint32(zip.length - 6, true);
    expect(view.getUint32(directory + 16, true)).toBe(0xcbf43926);
    view.setUint32(directory + 16, 0xcbf43927, true);
    expect(agreesWithZip(zip, 'a.txt', files['a.txt'])).toBe(false);
  });

  it('finds the directory before a comment and in a zip with wide records', () => {
    const content = files['a.txt'];
    const zip = zipSync({ 'a.txt': content });
    const commented = new Uint8Array([...zip, ...strToU8('a comment')]);
    new DataView(commented.buffer).setUint16(zip.length - 2, 9, true);
    expect(agreesWithZip(commented, 'a.txt', content)).toBe(true);
    expect(agreesWithZip(wideZip(content), 'a.txt', content)).toBe(true);
    expect(agreesWithZip(wideZip(content), 'a.txt', content.subarray(1))).toBe(false);
  });

  it('takes what is no zip for one that does not hold the entry', () => {
    const zip = zipSync(files);
    for (const bytes of [new Uint8Array(), new Uint8Array(30), zip.subarray(0, -1), zip.subarray(40)])
      expect(agreesWithZip(bytes, 'a.txt', files['a.txt'])).toBe(false);
  });
});

/** With the place of the directory in the zip64 record, as programs write it that do not know the size beforehand. */
function wideZip(content: Uint8Array): Uint8Array {
  const packed = deflateRawSync(content);
  const name = Buffer.from('a.txt');
  const entry = Buffer.alloc(46);
  entry.writeUInt32LE(0x02014b50, 0);
  entry.writeUInt32LE(crc32(content), 16);
  entry.writeUInt16LE(name.length, 28);
  const wide = Buffer.alloc(56);
  wide.writeUInt32LE(0x06064b50, 0);
  wide.writeBigUInt64LE(BigInt(packed.length), 48);
  const locator = Buffer.alloc(20);
  locator.writeUInt32LE(0x07064b50, 0);
  locator.writeBigUInt64LE(BigInt(packed.length + entry.length + name.length), 8);
  const end = Buffer.alloc(22);
  end.writeUInt32LE(0x06054b50, 0);
  end.writeUInt32LE(0xffffffff, 16);
  return new Uint8Array(Buffer.concat([packed, entry, name, wide, locator, end]));
}
