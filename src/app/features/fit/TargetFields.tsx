import { For } from 'solid-js';
import { NumberField } from '../../components/NumberField.tsx';
import { useApp } from '../../kernel/app-context.ts';

/** A contact tighter or wider than this is no target, mm. */
const MOST_MM = 0.5;

const ENDS = [
  ['lightest', 'wideMm'],
  ['tightest', 'tightMm'],
] as const;

/** The space that is wanted: from the lightest to the tightest that is still right. */
export function TargetFields() {
  const { fit } = useApp();
  const set = (ends: { readonly wideMm?: number; readonly tightMm?: number }) => {
    const { wideMm, tightMm } = { ...fit.target(), ...ends };
    fit.setTarget({ wideMm: Math.max(wideMm, tightMm), tightMm: Math.min(wideMm, tightMm) });
  };
  return (
    <fieldset class="fit-target">
      <legend>Wanted space, minus presses</legend>
      <For each={ENDS}>
        {([label, end]) => (
          <NumberField
            label={label}
            unit="mm"
            value={fit.target()[end]}
            min={-MOST_MM}
            max={MOST_MM}
            step={0.01}
            onChange={(mm) => set({ [end]: mm })}
          />
        )}
      </For>
    </fieldset>
  );
}
