import { ArchgapError } from '../geometry/archgap-error.ts';

/**
 * SHA-256 of the bytes by the platform's Web Crypto, which computes it off this thread.
 *
 * @returns lower-case hexadecimal, 64 digits (FIPS 180-4)
 * @throws ArchgapError internal `NO_WEB_CRYPTO` where the page is served neither over https nor from this machine
 */
export async function sha256(bytes: Uint8Array): Promise<string> {
  if (globalThis.crypto?.subtle === undefined) {
    throw new ArchgapError(
      'internal',
      'NO_WEB_CRYPTO',
      'The file cannot be fingerprinted here: open the page over https or from this machine.',
    );
  }
  // Web Crypto takes no shared memory; a view on an ordinary buffer is used as it is.
  const own = bytes.buffer instanceof ArrayBuffer ? (bytes as Uint8Array<ArrayBuffer>) : bytes.slice();
  const digest = new Uint8Array(await crypto.subtle.digest('SHA-256', own));
  return Array.from(digest, (byte) => byte.toString(16).padStart(2, '0')).join('');
}
