import { type Accessor, createSignal } from 'solid-js';

/** The jobs of the page: a case with its scans, separate crowns, agreement of repeated measurements. */
export type DeskName = 'case' | 'crowns' | 'agreement';

/**
 * Which job lies on the desk; the others keep what they hold. It is what was last asked for: a case that comes by itself,
 * as the last one does after a reload, does not take the desk from whoever has begun another job meanwhile.
 */
export interface Desk {
  readonly name: Accessor<DeskName>;
  readonly show: (name: DeskName) => void;
}

export function createDesk(): Desk {
  const [name, show] = createSignal<DeskName>('case');
  return { name, show };
}
