import { Show } from 'solid-js';

/** One sentence about what went wrong, where it went wrong. */
export function ErrorLine(props: { readonly sentence: string; readonly onDismiss?: () => void }) {
  return (
    <p class="error-line" role="alert">
      <span>{props.sentence}</span>
      <Show when={props.onDismiss}>
        {(dismiss) => (
          <button type="button" class="icon-button" aria-label="Dismiss" onClick={() => dismiss()()}>
            ×
          </button>
        )}
      </Show>
    </p>
  );
}
