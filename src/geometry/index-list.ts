import { letGo } from './let-go.ts';

const FIRST_ROOM = 64;

/**
 * A list of whole numbers of 32 bits that grows. A plain array of so many numbers is an object of the engine's heap:
 * when it is alive while the engine clears up, the engine takes more room for young objects, up to many times what the
 * list needs, and keeps that room for the rest of the work. This one lies outside of that heap.
 */
export class IndexList {
  /** Never used; as with `MaxFlow.kept`. */
  protected static readonly kept = new IndexList();
  length = 0;
  /** Those from `length` on mean nothing. Another array after a push. */
  values = new Int32Array(FIRST_ROOM);

  push(value: number): void {
    if (this.length === this.values.length) this.grow();
    this.values[this.length++] = value;
  }

  /** Takes the last one off; there has to be one. */
  pop(): number {
    this.length -= 1;
    return this.values[this.length]!;
  }

  private grow(): void {
    const { values } = this;
    this.values = new Int32Array(2 * values.length);
    this.values.set(values);
    letGo(values);
  }

  /** A copy of what is in it, as long as the list. */
  toArray(): Int32Array {
    return this.values.slice(0, this.length);
  }

  /** Gives its memory back; the list is empty and can be filled again. */
  letGo(): void {
    letGo(this.values);
    this.length = 0;
    this.values = new Int32Array(FIRST_ROOM);
  }
}
