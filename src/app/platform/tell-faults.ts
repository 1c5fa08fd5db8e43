import { onCleanup, onMount } from 'solid-js';

const FAULT =
  'Something went wrong in the page, and what is shown may be out of date. The case is kept as it is: load the page again to go on with it.';

/** Tells the user about faults that nobody caught; the browser's console has them in full. */
export function tellFaults(tell: (sentence: string) => void): void {
  const onError = (event: ErrorEvent) => {
    // The browser's own remarks (an observer that was late) come without a fault.
    if (event.error !== null && event.error !== undefined) tell(FAULT);
  };
  const onRejection = () => tell(FAULT);
  onMount(() => {
    window.addEventListener('error', onError);
    window.addEventListener('unhandledrejection', onRejection);
  });
  onCleanup(() => {
    window.removeEventListener('error', onError);
    window.removeEventListener('unhandledrejection', onRejection);
  });
}
