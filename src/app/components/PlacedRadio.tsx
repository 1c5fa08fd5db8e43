import { createEffect } from 'solid-js';

interface PlacedRadioProps {
  /** Radio buttons of one group choose one of many. */
  readonly group: string;
  readonly label: string;
  readonly class: string;
  readonly checked: boolean;
  readonly onSelect: (on: boolean) => void;
  /** CSS lengths from the corner of the positioned ancestor. */
  readonly place: {
    readonly left: string;
    readonly top: string;
    readonly width: string;
    readonly height: string;
  };
}

/**
 * An invisible radio button over a part of a picture, so that keyboards, pointers and screen readers get what the
 * browser gives any choice. Choosing the chosen one again, or Escape, lets go of it.
 */
export function PlacedRadio(props: PlacedRadioProps) {
  let input!: HTMLInputElement;
  createEffect(() => Object.assign(input.style, props.place));
  return (
    <input
      ref={input}
      class={props.class}
      type="radio"
      name={props.group}
      checked={props.checked}
      aria-label={props.label}
      title={props.label}
      // The click event comes before the change: what was chosen until now is still known.
      onClick={() => props.checked && props.onSelect(false)}
      onChange={(event) => event.currentTarget.checked && props.onSelect(true)}
      onKeyDown={(event) => event.key === 'Escape' && props.onSelect(false)}
    />
  );
}
