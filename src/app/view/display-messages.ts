/** What the page and the display worker say to each other. Buffers are copied to the worker and transferred back. */

export interface DisplayRequest {
  readonly positions: Float32Array;
  readonly normals: Float32Array;
  readonly triangles: Uint32Array;
}

export interface PickTree {
  readonly roots: ArrayBuffer[];
  readonly indirect: Uint32Array | Uint16Array;
}

export type DisplayReply =
  | { readonly kind: 'shade'; readonly shade: Float32Array<ArrayBuffer> }
  | { readonly kind: 'tree'; readonly tree: PickTree };
