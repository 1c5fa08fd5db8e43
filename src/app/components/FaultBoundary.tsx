import { ErrorBoundary, type JSX } from 'solid-js';

/** A part of the page that fails to be drawn says so in its place; the rest goes on. */
export function FaultBoundary(props: { readonly part: string; readonly children: JSX.Element }) {
  return (
    <ErrorBoundary
      fallback={(fault, again) => {
        // The sentence is for the user, this for whoever looks for the fault.
        console.error(props.part, fault);
        return (
          <div class="notice" role="alert">
            <span>{props.part} could not be shown; that is a fault of the page. The case is as it was.</span>
            <button type="button" class="button small" onClick={again}>
              Show it again
            </button>
          </div>
        );
      }}
    >
      {props.children}
    </ErrorBoundary>
  );
}
