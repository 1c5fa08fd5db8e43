import { For } from 'solid-js';
import { type TableColumn, TableHead } from './TableHead.tsx';

interface FactTableProps {
  /** Class of the table. */
  readonly class: string;
  readonly columns: readonly TableColumn[];
  /** Cells of each row, as many as there are columns. */
  readonly rows: readonly (readonly string[])[];
}

/** A plain table of words and numbers; columns of numbers stand to the right. */
export function FactTable(props: FactTableProps) {
  const classOf = (column: number) => (props.columns[column]?.number ? 'number' : undefined);
  return (
    <table class={props.class}>
      <TableHead columns={props.columns} />
      <tbody>
        <For each={props.rows}>
          {(row) => (
            <tr>
              <For each={row}>{(cell, column) => <td class={classOf(column())}>{cell}</td>}</For>
            </tr>
          )}
        </For>
      </tbody>
    </table>
  );
}
