import type { ClosureChoices } from '../../../casefile/types.ts';
import { departures } from '../../../closure/practice.ts';
import { Choice } from '../../components/Choice.tsx';
import { NumberField } from '../../components/NumberField.tsx';
import { useApp } from '../../kernel/app-context.ts';
import { OverClosure } from './OverClosure.tsx';
import { PracticePart } from './PracticePart.tsx';

const PARTS = [
  { value: 'unsaid', text: 'Not said' },
  { value: 'anterior', text: 'Front' },
  { value: 'posterior', text: 'Back' },
  { value: 'none', text: 'None' },
] as const;

const SPAN_RULES = [
  { value: 'shortest', text: 'Shortest', title: 'The shortest span that closes all' },
  { value: 'widens-nothing', text: 'Widens nothing', title: 'The shortest that widens no contact' },
  { value: 'terminal-molars', text: 'Last to last', title: 'Only from the last tooth to the last tooth' },
] as const;

const DEG = Math.PI / 180;

/** What the planner goes by; every change tries the spans again. */
export function ClosureSettingsFields() {
  const { controller, practice } = useApp();
  const departing = () =>
    departures({ ...closure(), limitMm: controller.inputs().limitMm }, practice.practice()).length;
  const closure = () => controller.inputs().closure;
  const overClosed = () => closure().targets?.length ?? 0;
  const set = (part: Partial<ClosureChoices>, tag: string) =>
    controller.change((inputs) => ({ ...inputs, closure: { ...inputs.closure, ...part } }), tag);
  return (
    <details class="settings">
      <summary>
        Settings: at most {closure().maxStages} {closure().maxStages === 1 ? 'stage' : 'stages'},{' '}
        {closure().perStageMm} mm each, {Math.round(closure().expression * 100)} % expressed
        {overClosed() > 0
          ? `; over-closure at ${overClosed()} ${overClosed() === 1 ? 'contact' : 'contacts'}`
          : ''}
        {departing() > 0 ? `; departs from the practice in ${departing()}` : ''}
      </summary>
      <div class="settings-grid">
        <NumberField
          label="Most stages"
          value={closure().maxStages}
          min={1}
          max={20}
          step={1}
          onChange={(value) => set({ maxStages: Math.round(value) }, 'max-stages')}
        />
        <NumberField
          label="Motion per stage"
          unit="mm"
          value={closure().perStageMm}
          min={0.01}
          max={1}
          step={0.01}
          onChange={(perStageMm) => set({ perStageMm }, 'per-stage')}
        />
        <NumberField
          label="Rotation per stage"
          unit="°"
          value={Number((closure().perStageRad / DEG).toFixed(2))}
          min={0.1}
          max={10}
          step={0.1}
          onChange={(degrees) => set({ perStageRad: degrees * DEG }, 'per-stage-rotation')}
        />
        <NumberField
          label="Share that is expressed"
          unit="%"
          value={Math.round(closure().expression * 100)}
          min={10}
          max={100}
          step={1}
          onChange={(percent) => set({ expression: percent / 100 }, 'expression')}
        />
      </div>
      <Choice
        label="Which span may be proposed"
        options={SPAN_RULES}
        value={closure().spanRule ?? 'shortest'}
        onChange={(spanRule) => set({ spanRule }, 'span-rule')}
      />
      <Choice
        label="Where teeth were moved"
        options={PARTS}
        value={closure().moved ?? 'unsaid'}
        onChange={(value) => set({ moved: value === 'unsaid' ? null : value }, 'moved')}
      />
      <Choice
        label="Where enamel was reduced"
        options={PARTS}
        value={closure().reduction ?? 'unsaid'}
        onChange={(value) => set({ reduction: value === 'unsaid' ? null : value }, 'reduction')}
      />
      <p class="small quiet">
        Where teeth were moved and reduced only feeds the trade’s rule of thumb that stands beside the
        proposal. The limit is set under Contacts, fixed teeth under Teeth.
      </p>
      <OverClosure />
      <PracticePart />
    </details>
  );
}
