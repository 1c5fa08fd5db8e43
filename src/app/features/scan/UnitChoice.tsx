import { createUniqueId } from 'solid-js';
import type { ScanFacts } from '../../../../workers/analysis-api.ts';
import type { LengthUnit } from '../../../scan/types.ts';
import { useApp } from '../../kernel/app-context.ts';
import { UNIT_WORDS } from '../../kernel/words.ts';

/** Which unit the file's numbers were taken to be in, and the way to say otherwise. */
export function UnitChoice(props: { readonly facts: ScanFacts }) {
  const { controller } = useApp();
  const id = createUniqueId();
  const unit = () => props.facts.source.unit;
  return (
    <div class="unit-choice" data-ask={!unit().sure}>
      <label for={id}>Unit of the file</label>
      <select
        id={id}
        value={controller.open()?.unit ?? 'size'}
        onChange={(event) => {
          const { value } = event.currentTarget;
          void controller.overruleUnit(value === 'size' ? null : (value as LengthUnit));
        }}
      >
        <option value="size">by its size</option>
        <option value="mm">{UNIT_WORDS.mm}</option>
        <option value="cm">{UNIT_WORDS.cm}</option>
        <option value="m">{UNIT_WORDS.m}</option>
        <option value="in">{UNIT_WORDS.in}</option>
      </select>
      <p class="unit-sentence">{unit().sentence}</p>
    </div>
  );
}
