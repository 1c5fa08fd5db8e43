/** A file that leaves the worker. */
export interface RecordFile {
  readonly fileName: string;
  readonly mediaType: string;
  readonly bytes: Uint8Array;
}

/** Marks the buffers of a reply for transfer; comlink's `transfer` in the worker, the identity in a test. */
export type TransferMarker = <T extends object>(reply: T, buffers: ArrayBufferLike[]) => T;
