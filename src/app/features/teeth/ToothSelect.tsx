import { For } from 'solid-js';
import { archOrder, formatTooth } from '../../../teeth/notation.ts';
import type { ToothNumber } from '../../../teeth/types.ts';
import { useApp } from '../../kernel/app-context.ts';

interface ToothSelectProps {
  readonly label: string;
  readonly value: ToothNumber;
  readonly onChange: (tooth: ToothNumber) => void;
}

/** Any number of the jaw. */
export function ToothSelect(props: ToothSelectProps) {
  const { controller, preferences } = useApp();
  return (
    <select
      class="tooth-select"
      aria-label={props.label}
      onChange={(event) => props.onChange(Number(event.currentTarget.value))}
    >
      <For each={archOrder(controller.inputs().jaw ?? 'upper')}>
        {(tooth) => (
          <option value={tooth} selected={tooth === props.value}>
            {formatTooth(tooth, preferences.numbering())}
          </option>
        )}
      </For>
    </select>
  );
}
