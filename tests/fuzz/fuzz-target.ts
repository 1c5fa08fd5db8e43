/** Something that takes bytes from outside: what it must do is read them or refuse with a typed error. */
export interface FuzzTarget {
  readonly name: string;
  /** A sound input, from which the mutants are made. */
  readonly seed: Uint8Array;
  /** Inputs of this target for each of a target without a share: less than 1 where one input takes long. */
  readonly share?: number;
  /** Reads the bytes and checks that what came out is sound; throws otherwise. */
  readonly read: (bytes: Uint8Array, fileName: string) => void | Promise<void>;
}
