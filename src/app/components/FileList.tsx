import { For } from 'solid-js';
import type { RecordFile } from '../../../workers/analysis-api.ts';
import { download } from '../platform/browser.ts';
import { NamesBegin } from './NamesBegin.tsx';

interface FileListProps<K extends string> {
  /** Kind, file name, and what it holds. */
  readonly files: readonly (readonly [K, string, string])[];
  readonly write: (kind: K) => Promise<RecordFile | null>;
  readonly busy: boolean;
  /** What the names of the saved files begin with; null or left out: nothing. */
  readonly prefix?: string | null;
}

/** Files that can be taken along, each a button with its name. */
export function FileList<K extends string>(props: FileListProps<K>) {
  const save = async (kind: K) => {
    const file = await props.write(kind);
    if (file) download(file);
  };
  return (
    <>
      <ul class="file-list">
        <For each={props.files}>
          {([kind, name, holds]) => (
            <li>
              <button
                type="button"
                class="button small file-button"
                disabled={props.busy}
                aria-label={`Save ${name}`}
                onClick={() => void save(kind)}
              >
                {name}
              </button>
              <span class="quiet small">{holds}</span>
            </li>
          )}
        </For>
      </ul>
      <NamesBegin prefix={props.prefix ?? null} />
    </>
  );
}
