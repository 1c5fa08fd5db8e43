import { type Accessor, createEffect, createSignal, on } from 'solid-js';
import type { CaseController } from './create-case.ts';

/** The jobs of the page: a case with its scans, separate crowns, agreement of repeated measurements. */
export type DeskName = 'case' | 'crowns' | 'agreement';

/** Which job lies on the desk; the others keep what they hold. */
export interface Desk {
  readonly name: Accessor<DeskName>;
  readonly show: (name: DeskName) => void;
}

export function createDesk(controller: Pick<CaseController, 'open'>): Desk {
  const [name, show] = createSignal<DeskName>('case');
  /** A case that was opened is what is worked on. */
  createEffect(
    on(
      () => controller.open()?.visit,
      () => show('case'),
      { defer: true },
    ),
  );
  return { name, show };
}
