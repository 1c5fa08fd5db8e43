import { Show } from 'solid-js';

/** What the names of saved files begin with: the buttons hold only what tells them apart. */
export function NamesBegin(props: { readonly prefix: string | null }) {
  return (
    <Show when={props.prefix}>
      {(prefix) => (
        <p class="small quiet on-screen">
          Their names begin with <span class="file-name">{prefix()}</span>
        </p>
      )}
    </Show>
  );
}
