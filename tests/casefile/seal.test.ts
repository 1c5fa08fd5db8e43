import { createDecipheriv, pbkdf2Sync } from 'node:crypto';
import { strFromU8, strToU8, unzipSync, zipSync } from 'fflate';
import { beforeAll, describe, expect, it } from 'vitest';
import { readCaseFile } from '../../src/casefile/read-case-file.ts';
import { writeCaseFile } from '../../src/casefile/write-case-file.ts';
import { makeCaseContent } from './make-case.ts';

const OPTIONS = { version: '1.2.3', savedAt: '2026-01-05T10:00:00.000Z' };
const PASSPHRASE = 'größe einer Lücke';

describe('an encrypted case file', () => {
  let sealed: Uint8Array;
  beforeAll(async () => {
    sealed = await writeCaseFile(makeCaseContent(), { ...OPTIONS, passphrase: PASSPHRASE });
  });

  it('opens with the passphrase, however its accents are spelt, and holds the same case', async () => {
    const read = await readCaseFile(sealed, PASSPHRASE.normalize('NFD'));
    expect(read.encrypted).toBe(true);
    expect(read.content).toEqual(makeCaseContent());
  });

  it('asks for the passphrase, and says when it is wrong', async () => {
    await expect(readCaseFile(sealed, null)).rejects.toMatchObject({ code: 'CASE_FILE_SEALED' });
    await expect(readCaseFile(sealed, 'grosse Luecke')).rejects.toMatchObject({
      code: 'CASE_FILE_PASSPHRASE',
    });
    await expect(readCaseFile(sealed, '')).rejects.toMatchObject({ code: 'CASE_FILE_PASSPHRASE' });
  });

  /** The independent twin: OpenSSL's PBKDF2 and AES-GCM by way of Node, after docs/formats.md alone. */
  it('can be opened by another program after the documentation', async () => {
    const files = unzipSync(sealed);
    expect(Object.keys(files)).toEqual(['sealed.json', 'sealed.bin']);
    const { schema, key, cipher } = JSON.parse(strFromU8(files['sealed.json']!));
    expect(schema).toBe('archgap-sealed/1');
    expect(key.iterations).toBeGreaterThanOrEqual(600_000);
    const secret = pbkdf2Sync(
      PASSPHRASE.normalize('NFC'),
      Buffer.from(key.salt, 'base64'),
      key.iterations,
      32,
      'sha256',
    );
    const data = files['sealed.bin']!;
    const opener = createDecipheriv('aes-256-gcm', secret, Buffer.from(cipher.iv, 'base64'));
    opener.setAAD(files['sealed.json']!);
    opener.setAuthTag(data.subarray(-16));
    const plain = Buffer.concat([opener.update(data.subarray(0, -16)), opener.final()]);
    expect(plain.equals(Buffer.from(await writeCaseFile(makeCaseContent(), OPTIONS)))).toBe(true);
  });

  it('shows nothing of the case, and is never the same twice', async () => {
    const text = Buffer.from(sealed).toString('latin1');
    for (const word of ['manifest', 'scans/', 'archgap-case', 'lower']) expect(text).not.toContain(word);
    const again = await writeCaseFile(makeCaseContent(), { ...OPTIONS, passphrase: PASSPHRASE });
    expect(unzipSync(again)['sealed.bin']).not.toEqual(unzipSync(sealed)['sealed.bin']);
  });

  it('refuses a passphrase of a few letters', async () => {
    await expect(
      writeCaseFile(makeCaseContent(), { ...OPTIONS, passphrase: '1234567' }),
    ).rejects.toMatchObject({ code: 'PASSPHRASE_SHORT', kind: 'usage' });
  });

  it.each<[string, (header: ReturnType<typeof JSON.parse>) => void, string]>([
    ['fewer rounds', (header) => (header.key.iterations = 1000), 'CASE_FILE_SEAL'],
    ['rounds without end', (header) => (header.key.iterations = 1e12), 'CASE_FILE_SEAL'],
    ['another cipher', (header) => (header.cipher.name = 'ROT-13'), 'CASE_FILE_SEAL'],
    ['a newer container', (header) => (header.schema = 'archgap-sealed/2'), 'CASE_FILE_SEAL'],
    ['a short salt', (header) => (header.key.salt = 'AAAA'), 'CASE_FILE_SEAL'],
    ['another round number', (header) => (header.key.iterations = 600_001), 'CASE_FILE_PASSPHRASE'],
    ['a remark added', (header) => (header.remark = 'x'), 'CASE_FILE_PASSPHRASE'],
  ])('with %s in its header is refused', async (_, change, expected) => {
    const files = unzipSync(sealed);
    const header = JSON.parse(strFromU8(files['sealed.json']!));
    change(header);
    const bytes = zipSync({ ...files, 'sealed.json': strToU8(JSON.stringify(header)) });
    await expect(readCaseFile(bytes, PASSPHRASE)).rejects.toMatchObject({ code: expected });
  });

  it('with one bit changed is refused', async () => {
    const files = unzipSync(sealed);
    files['sealed.bin']![100]! ^= 1;
    await expect(readCaseFile(zipSync(files), PASSPHRASE)).rejects.toMatchObject({
      code: 'CASE_FILE_PASSPHRASE',
    });
  });
});
