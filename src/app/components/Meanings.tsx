import { For } from 'solid-js';

interface MeaningsProps {
  readonly title: string;
  /** Term and meaning. */
  readonly entries: readonly (readonly [string, string])[];
}

/** Terms explained where they are used, folded away; by key and by touch as well as by pointer. */
export function Meanings(props: MeaningsProps) {
  return (
    <details class="meanings">
      <summary>{props.title}</summary>
      <dl>
        <For each={props.entries}>
          {([term, meaning]) => (
            <>
              <dt>{term}</dt>
              <dd>{meaning}</dd>
            </>
          )}
        </For>
      </dl>
    </details>
  );
}
