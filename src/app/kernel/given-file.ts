/** A file as it came onto the page. */
export interface CaseFile {
  readonly name: string;
  readonly bytes: Uint8Array;
}
