import { NumberField } from '../../components/NumberField.tsx';
import { useApp } from '../../kernel/app-context.ts';

const LIMIT_MAX_MM = 1;

/** The space that the user still calls closed; every decision follows it at once. */
export function LimitField() {
  const { controller } = useApp();
  const setLimit = (limitMm: number) => controller.change((inputs) => ({ ...inputs, limitMm }), 'limit');
  return (
    <div class="limit-row">
      <NumberField
        label="Limit: a space up to this is called closed"
        unit="mm"
        value={controller.inputs().limitMm}
        min={0}
        max={LIMIT_MAX_MM}
        step={0.01}
        onChange={setLimit}
      />
      <input
        type="range"
        class="limit-slider"
        aria-label="Limit, mm"
        min={0}
        max={0.5}
        step={0.01}
        value={Math.min(0.5, controller.inputs().limitMm)}
        onInput={(event) => setLimit(event.currentTarget.valueAsNumber)}
      />
    </div>
  );
}
