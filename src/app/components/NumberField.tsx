import { createSignal, createUniqueId, Show } from 'solid-js';

interface NumberFieldProps {
  readonly label: string;
  readonly unit?: string;
  readonly value: number;
  readonly min: number;
  readonly max: number;
  readonly step: number;
  readonly onChange: (value: number) => void;
}

/** A number with its unit. A value outside of the range is refused with a sentence and the old one stays. */
export function NumberField(props: NumberFieldProps) {
  const id = createUniqueId();
  const [refused, setRefused] = createSignal(false);
  const take = (input: HTMLInputElement) => {
    const value = Number(input.value);
    const wrong = input.value.trim() === '' || !(value >= props.min && value <= props.max);
    setRefused(wrong);
    if (wrong) return;
    props.onChange(value);
    input.value = text();
  };
  /** As many decimals as a step has. */
  const text = () => props.value.toFixed(Math.max(0, Math.ceil(-Math.log10(props.step))));
  return (
    <div class="number-field">
      <label for={id}>{props.label}</label>
      <span class="number-entry">
        <input
          id={id}
          type="number"
          min={props.min}
          max={props.max}
          step={props.step}
          value={text()}
          aria-invalid={refused()}
          aria-describedby={refused() ? `${id}-wrong` : undefined}
          onChange={(event) => take(event.currentTarget)}
          onBlur={(event) => {
            if (!refused()) return;
            event.currentTarget.value = text();
            setRefused(false);
          }}
        />
        <Show when={props.unit}>
          <span class="unit">{props.unit}</span>
        </Show>
      </span>
      <Show when={refused()}>
        <span class="field-wrong" id={`${id}-wrong`} role="alert">
          A number from {props.min} to {props.max}; {text()} stays.
        </span>
      </Show>
    </div>
  );
}
