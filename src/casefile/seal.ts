import { zipSync } from 'fflate';
import * as v from 'valibot';
import { ArchgapError, inputError, usageError } from '../geometry/archgap-error.ts';

const SEAL_SCHEMA = 'archgap-sealed/1';
export const SEAL_NAME = 'sealed.json';
export const SEALED_DATA_NAME = 'sealed.bin';

/**
 * Rounds of PBKDF2 with HMAC-SHA-256 written: the least that OWASP's Password Storage Cheat Sheet (2023) calls for.
 * Fewer are refused on reading, and so are numbers that would only keep the reader busy.
 */
const ITERATIONS = 600_000;
const MOST_ITERATIONS = 10_000_000;
/** NIST SP 800-132 asks for a salt of at least 128 bits; NIST SP 800-38D recommends a 96-bit IV for GCM. */
const SALT_BYTES = 16;
const IV_BYTES = 12;
const TAG_BITS = 128;
const SHORTEST_PASSPHRASE = 8;

const base64 = (bytes: number) =>
  v.pipe(
    v.string(),
    v.regex(/^[A-Za-z0-9+/]+={0,2}$/),
    v.transform(fromBase64),
    v.check((value) => value.length === bytes, `not ${bytes} bytes`),
  );
const sealSchema = v.object({
  schema: v.literal(SEAL_SCHEMA),
  key: v.object({
    derivation: v.literal('PBKDF2-HMAC-SHA-256'),
    iterations: v.pipe(v.number(), v.integer(), v.minValue(ITERATIONS), v.maxValue(MOST_ITERATIONS)),
    salt: base64(SALT_BYTES),
  }),
  cipher: v.object({ name: v.literal('AES-256-GCM'), iv: base64(IV_BYTES) }),
});

/**
 * Encrypts a case file: a zip of {@link SEAL_NAME}, which says how, and {@link SEALED_DATA_NAME}, the encrypted case
 * file with its authentication tag behind it. The bytes of the former are authenticated along with the latter.
 *
 * @throws ArchgapError `PASSPHRASE_SHORT`, internal `NO_WEB_CRYPTO`
 */
export async function sealCase(plain: Uint8Array, passphrase: string): Promise<Uint8Array> {
  if ([...passphrase].length < SHORTEST_PASSPHRASE) {
    throw usageError(
      'PASSPHRASE_SHORT',
      `The passphrase has fewer than ${SHORTEST_PASSPHRASE} characters; take a longer one, best a few words.`,
    );
  }
  const { subtle } = webCrypto();
  const salt = crypto.getRandomValues(new Uint8Array(SALT_BYTES));
  const iv = crypto.getRandomValues(new Uint8Array(IV_BYTES));
  const header = new TextEncoder().encode(
    `${JSON.stringify(
      {
        schema: SEAL_SCHEMA,
        key: { derivation: 'PBKDF2-HMAC-SHA-256', iterations: ITERATIONS, salt: toBase64(salt) },
        cipher: { name: 'AES-256-GCM', iv: toBase64(iv) },
      },
      null,
      2,
    )}\n`,
  );
  const key = await keyOf(passphrase, salt, ITERATIONS);
  const data = new Uint8Array(await subtle.encrypt(gcm(iv, header), key, own(plain)));
  return zipSync(
    { [SEAL_NAME]: header, [SEALED_DATA_NAME]: [data, { level: 0 }] },
    { mtime: new Date(1980, 0, 1) },
  );
}

/**
 * Takes the encryption off.
 * @param header - bytes of {@link SEAL_NAME}
 * @throws ArchgapError `CASE_FILE_SEAL` for an encryption that is not known, `CASE_FILE_PASSPHRASE`
 */
export async function unsealCase(
  header: Uint8Array,
  data: Uint8Array,
  passphrase: string,
): Promise<Uint8Array> {
  const { key, cipher } = readSeal(header);
  const { subtle } = webCrypto();
  try {
    const secret = await keyOf(passphrase, key.salt, key.iterations);
    return new Uint8Array(await subtle.decrypt(gcm(cipher.iv, header), secret, own(data)));
  } catch (cause) {
    throw inputError(
      'CASE_FILE_PASSPHRASE',
      'The passphrase does not open this case file (or the file was changed since it was saved); try it again.',
      { cause },
    );
  }
}

function readSeal(header: Uint8Array): v.InferOutput<typeof sealSchema> {
  let raw: unknown = null;
  try {
    raw = JSON.parse(new TextDecoder().decode(header));
  } catch {
    // Told below, like every header that says nothing.
  }
  const result = v.safeParse(sealSchema, raw);
  if (result.success) return result.output;
  throw inputError(
    'CASE_FILE_SEAL',
    `The case file is encrypted in a way this program does not know (expected ${SEAL_SCHEMA}); open it with a newer one.`,
  );
}

async function keyOf(passphrase: string, salt: Uint8Array, iterations: number): Promise<CryptoKey> {
  const { subtle } = webCrypto();
  // One spelling of accented letters, whatever keyboard they come from.
  const secret = new TextEncoder().encode(passphrase.normalize('NFC'));
  const base = await subtle.importKey('raw', secret, 'PBKDF2', false, ['deriveKey']);
  return subtle.deriveKey(
    { name: 'PBKDF2', hash: 'SHA-256', salt: own(salt), iterations },
    base,
    { name: 'AES-GCM', length: 256 },
    false,
    ['encrypt', 'decrypt'],
  );
}

const gcm = (iv: Uint8Array, header: Uint8Array): AesGcmParams => ({
  name: 'AES-GCM',
  iv: own(iv),
  additionalData: own(header),
  tagLength: TAG_BITS,
});

function webCrypto(): { readonly subtle: SubtleCrypto } {
  if (globalThis.crypto?.subtle !== undefined) return globalThis.crypto;
  throw new ArchgapError(
    'internal',
    'NO_WEB_CRYPTO',
    'Nothing can be encrypted here: open the page over https or from this machine.',
  );
}

/** Web Crypto takes no shared memory; a view on an ordinary buffer is used as it is. */
function own(bytes: Uint8Array): Uint8Array<ArrayBuffer> {
  return bytes.buffer instanceof ArrayBuffer ? (bytes as Uint8Array<ArrayBuffer>) : bytes.slice();
}

function toBase64(bytes: Uint8Array): string {
  return btoa(String.fromCharCode(...bytes));
}

function fromBase64(text: string): Uint8Array {
  try {
    return Uint8Array.from(atob(text), (letter) => letter.charCodeAt(0));
  } catch {
    return new Uint8Array();
  }
}
