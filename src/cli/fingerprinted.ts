import { createHash } from 'node:crypto';
import type { CliOpenFile } from './cli-io.ts';
import type { OpenStretches } from './open-stretches.ts';

/** Bytes read at a time for the fingerprint alone. */
const PIECE = 1 << 18;

/**
 * The file with its SHA-256 (FIPS 180-4), computed as its stretches are read, of the very bytes that were read;
 * stretches that nobody asked for in their order are read for it in the end. Computing it off this thread would take
 * as long here: the bytes would have to be copied for it first.
 */
export function fingerprinted(file: OpenStretches): CliOpenFile {
  const hash = createHash('sha256');
  let digest: string | null = null;
  /** Bytes from the beginning that are in the hash. */
  let hashed = 0;
  const read = (from: number, to: number): Uint8Array => {
    const stretch = file.read(from, to);
    if (from <= hashed && hashed < to) {
      hash.update(stretch.subarray(hashed - from));
      hashed = to;
    }
    return stretch;
  };
  return {
    length: file.length,
    read,
    sha256: () => {
      while (hashed < file.length) read(hashed, Math.min(hashed + PIECE, file.length));
      digest ??= hash.digest('hex');
      return digest;
    },
    close: () => file.close(),
  };
}
