import { NumberField } from '../../components/NumberField.tsx';
import { useApp } from '../../kernel/app-context.ts';

/** A contact tighter or wider than this is no target, mm. */
const MOST_MM = 0.5;

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
      <NumberField
        label="lightest"
        unit="mm"
        value={fit.target().wideMm}
        min={-MOST_MM}
        max={MOST_MM}
        step={0.01}
        onChange={(wideMm) => set({ wideMm })}
      />
      <NumberField
        label="tightest"
        unit="mm"
        value={fit.target().tightMm}
        min={-MOST_MM}
        max={MOST_MM}
        step={0.01}
        onChange={(tightMm) => set({ tightMm })}
      />
    </fieldset>
  );
}
