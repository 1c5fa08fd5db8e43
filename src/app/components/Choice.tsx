import { For } from 'solid-js';
import { groupName } from './group-name.ts';

interface ChoiceProps<T extends string | number> {
  readonly label: string;
  readonly options: readonly { readonly value: T; readonly text: string; readonly title?: string }[];
  readonly value: T | null;
  readonly onChange: (value: T) => void;
  readonly disabled?: boolean;
}

/** A row of radio buttons drawn as one bar. */
export function Choice<T extends string | number>(props: ChoiceProps<T>) {
  const name = groupName();
  return (
    <fieldset class="choice" disabled={props.disabled ?? false}>
      <legend>{props.label}</legend>
      <div class="choice-bar">
        <For each={props.options}>
          {(option) => (
            <label class="choice-option" title={option.title ?? ''}>
              <input
                type="radio"
                name={name}
                checked={props.value === option.value}
                onChange={() => props.onChange(option.value)}
              />
              <span>{option.text}</span>
            </label>
          )}
        </For>
      </div>
    </fieldset>
  );
}
