import { createUniqueId, For } from 'solid-js';
import { useApp } from '../../kernel/app-context.ts';
import type { AgreementColumns } from '../../kernel/create-agreement.ts';

const FIELDS: readonly (readonly [keyof AgreementColumns, string])[] = [
  ['value', 'measured column'],
  ['target', 'columns that name a target'],
  ['by', 'columns that name an occasion'],
];

/** Which columns are compared: found by themselves, unless they are typed, with commas between them. */
export function ColumnFields() {
  const { agreement } = useApp();
  const id = createUniqueId();
  const found = (key: keyof AgreementColumns) => {
    const reply = agreement.reply();
    if (!reply) return 'found by itself';
    if (key === 'value') return reply.valueColumn;
    return (key === 'target' ? reply.targetColumns : reply.occasionColumns).join(', ');
  };
  return (
    <div class="column-fields">
      <For each={FIELDS}>
        {([key, label]) => (
          <>
            <label for={`${id}-${key}`}>{label}</label>
            <input
              id={`${id}-${key}`}
              type="text"
              value={agreement.columns()[key]}
              placeholder={found(key)}
              onChange={({ currentTarget: { value } }) =>
                agreement.setColumns({ ...agreement.columns(), [key]: value })
              }
            />
          </>
        )}
      </For>
    </div>
  );
}
