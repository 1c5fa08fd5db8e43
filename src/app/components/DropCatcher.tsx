import { createSignal, onCleanup, onMount, Show } from 'solid-js';

/** Takes files dropped anywhere on the page, and pasted ones. */
export function DropCatcher(props: {
  readonly onFiles: (files: FileList) => void;
  /** What files do here, in a sentence. */
  readonly what: string;
  /** Given while the open case can take a next scan: then the drop asks which of the two is meant. */
  readonly onNext: ((files: FileList) => void) | null;
}) {
  const [over, setOver] = createSignal(false);
  const hasFiles = (data: DataTransfer | null) => data?.types.includes('Files') ?? false;

  const dragover = (event: DragEvent) => {
    if (!hasFiles(event.dataTransfer)) return;
    event.preventDefault();
    setOver(true);
  };
  const dragleave = (event: DragEvent) => {
    if (event.relatedTarget === null) setOver(false);
  };
  const take = (event: Event, data: DataTransfer | null) => {
    setOver(false);
    if (!data || data.files.length === 0) return;
    event.preventDefault();
    const isNext = event.target instanceof Element && event.target.closest('[data-drop="next"]') !== null;
    if (isNext && props.onNext) props.onNext(data.files);
    else props.onFiles(data.files);
  };
  const drop = (event: DragEvent) => take(event, event.dataTransfer);
  const paste = (event: ClipboardEvent) => take(event, event.clipboardData);

  onMount(() => {
    window.addEventListener('dragover', dragover);
    window.addEventListener('dragleave', dragleave);
    window.addEventListener('drop', drop);
    window.addEventListener('paste', paste);
  });
  onCleanup(() => {
    window.removeEventListener('dragover', dragover);
    window.removeEventListener('dragleave', dragleave);
    window.removeEventListener('drop', drop);
    window.removeEventListener('paste', paste);
  });
  return (
    <Show when={over()}>
      <div class="drop-sheet" data-choice={props.onNext !== null}>
        <Show when={props.onNext}>
          <p class="drop-field" data-drop="next">
            Next scan of this case
            <span>the same arch, scanned again: what has changed since?</span>
          </p>
        </Show>
        <p class="drop-field">{props.what}</p>
      </div>
    </Show>
  );
}
