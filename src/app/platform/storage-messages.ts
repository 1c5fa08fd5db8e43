import type { StoredCase } from '../kernel/case-storage.ts';

/** What the page asks of the storage worker: one request in its life. Scans are transferred either way. */
export type StorageRequest =
  | { readonly kind: 'save'; readonly stored: StoredCase; readonly scans: ReadonlyMap<string, Uint8Array> }
  | { readonly kind: 'scanOf'; readonly scanKey: string };

export type StorageReply =
  /** `scan` null: there is none under this key, or nothing was asked for. */
  | { readonly kind: 'done'; readonly scan: Uint8Array | null }
  /** Name and message of what the browser refused with, as in `Error`. */
  | { readonly kind: 'refused'; readonly name: string; readonly message: string };
