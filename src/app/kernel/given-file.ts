import { bytesInFile, bytesInMemory, type ScanBytes } from './scan-bytes.ts';

/** A file as it came onto the page. */
export interface CaseFile {
  readonly name: string;
  readonly bytes: Uint8Array;
}

/** The same, or a heavy scan that nobody has read yet. */
export interface GivenFile {
  readonly name: string;
  readonly bytes: Uint8Array | Blob;
}

/** A file of a scan, as the case keeps it. */
export interface ScanFile {
  readonly name: string;
  readonly bytes: ScanBytes;
}

/** @param file - taken over: its bytes are of no use to the caller afterwards */
export const scanFile = ({ name, bytes }: GivenFile): ScanFile => ({
  name,
  bytes: bytes instanceof Uint8Array ? bytesInMemory(bytes) : bytesInFile(bytes),
});
