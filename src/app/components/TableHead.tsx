import { For } from 'solid-js';

export interface TableColumn {
  readonly title: string;
  /** Numbers stand to the right. */
  readonly number?: boolean;
  /** More about the column, under the pointer. */
  readonly hint?: string;
}

/** The head of a table of facts. */
export function TableHead(props: { readonly columns: readonly TableColumn[] }) {
  return (
    <thead>
      <tr>
        <For each={props.columns}>
          {({ title, number, hint }) => (
            <th scope="col" class={number ? 'number' : undefined} title={hint}>
              {title}
            </th>
          )}
        </For>
      </tr>
    </thead>
  );
}
