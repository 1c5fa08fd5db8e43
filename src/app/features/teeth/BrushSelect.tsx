import { For } from 'solid-js';
import { formatTooth } from '../../../teeth/notation.ts';
import { useApp } from '../../kernel/app-context.ts';
import { clickedTeeth } from '../../kernel/case-inputs.ts';
import type { Brush } from '../../kernel/worksheet.ts';

/** What a stroke of the brush says of the surface under it. */
export function BrushSelect() {
  const { controller, preferences, worksheet } = useApp();
  const read = (value: string): Brush =>
    value === 'begin' || value === 'gum' || value === 'erase' ? value : Number(value);
  return (
    <label class="brush">
      <span>A stroke makes it</span>
      <select onChange={(event) => worksheet.setBrush(read(event.currentTarget.value))}>
        <option value="begin" selected={worksheet.brush() === 'begin'}>
          what it begins on
        </option>
        <option value="gum" selected={worksheet.brush() === 'gum'}>
          gum
        </option>
        <For each={clickedTeeth(controller.inputs())}>
          {(tooth) => (
            <option value={tooth} selected={worksheet.brush() === tooth}>
              tooth {formatTooth(tooth, preferences.numbering())}
            </option>
          )}
        </For>
        <option value="erase" selected={worksheet.brush() === 'erase'}>
          as before (erases corrections)
        </option>
      </select>
    </label>
  );
}
