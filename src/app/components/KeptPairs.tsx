import { For } from 'solid-js';

/** A sentence in which no pair of teeth is broken at its hyphen where a line ends: "11-" and "21" are no contact. */
export function KeptPairs(props: { readonly sentence: string }) {
  return (
    <For each={props.sentence.split(/(\S+-\S+)/)}>
      {(part, place) => (place() % 2 === 1 ? <span class="kept-pair">{part}</span> : part)}
    </For>
  );
}
