import { createUniqueId, type JSX, Show } from 'solid-js';

interface WorksheetSectionProps {
  readonly number: number;
  readonly title: string;
  /** The section in one line. */
  readonly state: string;
  /** `attention`: something waits for the user; `done`: quiet; `empty`: nothing to do here yet. */
  readonly tone: 'empty' | 'attention' | 'done';
  readonly open: boolean;
  readonly onToggle: (open: boolean) => void;
  readonly children: JSX.Element;
}

/** One numbered section of the worksheet: a heading with its state in a line, and a body that folds. */
export function WorksheetSection(props: WorksheetSectionProps) {
  const id = createUniqueId();
  return (
    <section
      class="sheet-section"
      data-tone={props.tone}
      data-open={props.open}
      aria-labelledby={`${id}-title`}
    >
      <h2 class="sheet-heading">
        <button
          type="button"
          class="sheet-toggle"
          data-section={props.number}
          aria-expanded={props.open}
          aria-controls={`${id}-body`}
          onClick={() => props.onToggle(!props.open)}
        >
          <span class="sheet-number" aria-hidden="true">
            {props.number}
          </span>
          <span class="sheet-title" id={`${id}-title`}>
            {props.title}
          </span>
          <span class="sheet-state">{props.state}</span>
          <svg class="sheet-chevron" viewBox="0 0 12 12" aria-hidden="true">
            <path d="M3 4.5 6 7.5 9 4.5" />
          </svg>
        </button>
      </h2>
      <div class="sheet-body" id={`${id}-body`} hidden={!props.open}>
        <Show when={props.open}>{props.children}</Show>
      </div>
    </section>
  );
}
