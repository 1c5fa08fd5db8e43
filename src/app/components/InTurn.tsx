import { createSignal, type JSX, Show } from 'solid-js';
import { nextTurn } from '../../geometry/next-turn.ts';

/**
 * Draws its children in a turn of the event loop of their own: what comes in one go with its neighbours would hold up
 * the page for longer than anybody should notice. What has to be there at once, to be scrolled to or to take the focus,
 * stands outside.
 */
export function InTurn(props: { readonly children: JSX.Element }) {
  const [isDue, setDue] = createSignal(false);
  void nextTurn().then(() => setDue(true));
  return <Show when={isDue()}>{props.children}</Show>;
}
