import { plainStem } from '../../casefile/plain-stem.ts';
import type { Jaw } from '../../teeth/types.ts';

/**
 * What the names of files about a scan begin with: its name and its jaw, so that those of the other arch or of another
 * scan do not come to lie over them in one folder. A name that says its jaw already does so once.
 */
export function savedPrefix(fileName: string, demo: boolean, jaw: Jaw): string {
  const stem = demo ? 'demo' : plainStem(fileName);
  const saysJaw = new RegExp(`(?<!\\p{L})${jaw}(?!\\p{L})`, 'iu').test(stem);
  return saysJaw ? `${stem}-` : `${stem}-${jaw}-`;
}
