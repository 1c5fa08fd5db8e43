import type { RecordFile } from '../../../workers/analysis-api.ts';
import { inputError } from '../../geometry/archgap-error.ts';
import type { WorkerLike } from '../kernel/analysis-client.ts';
import type { CaseFile } from '../kernel/given-file.ts';
import type { TextStore } from '../kernel/preferences.ts';

/** The few things that only a browser can do, kept out of the kernel. */

export function spawnAnalysisWorker(): WorkerLike {
  return new Worker(new URL('../../../workers/analysis.ts', import.meta.url), {
    type: 'module',
    name: 'archgap-analysis',
  });
}

/** The built-in demo case, from beside the page. */
export async function fetchDemo(): Promise<{ scan: CaseFile; clicks: string }> {
  const [scan, clicks] = await Promise.all([
    fetchFile('demo/demo-arch.ply'),
    fetchFile('demo/demo-clicks.json'),
  ]);
  return {
    scan: { name: 'demo-arch.ply', bytes: new Uint8Array(await scan.arrayBuffer()) },
    clicks: await clicks.text(),
  };
}

async function fetchFile(path: string): Promise<Response> {
  const response = await fetch(new URL(path, document.baseURI)).catch(() => null);
  if (response?.ok) return response;
  throw inputError(
    'DEMO_MISSING',
    'The demo case could not be fetched; check that the page is still being served.',
  );
}

/** Local storage, or nothing kept where the browser forbids it. */
export const localTextStore = textStoreOn(() => localStorage);

/** Storage of this tab alone; outlives a reload. */
export const tabTextStore = textStoreOn(() => sessionStorage);

/** An empty text is not kept. */
function textStoreOn(storage: () => Storage): TextStore {
  return {
    get(key) {
      try {
        return storage().getItem(key);
      } catch {
        return null;
      }
    },
    set(key, value) {
      try {
        if (value === '') storage().removeItem(key);
        else storage().setItem(key, value);
      } catch {
        // A private window may refuse: what was to be kept then lasts as long as the page.
      }
    },
  };
}

/** The day here, `YYYY-MM-DD`. */
export function today(): string {
  const now = new Date();
  const two = (value: number) => String(value).padStart(2, '0');
  return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
}

export async function readFiles(files: Iterable<File>): Promise<CaseFile[]> {
  const read = async (file: File) => ({ name: file.name, bytes: new Uint8Array(await file.arrayBuffer()) });
  return Promise.all([...files].map(read));
}

/** Hands a file to the browser's downloads. */
export function download({ fileName, mediaType, bytes }: RecordFile): void {
  const url = URL.createObjectURL(new Blob([bytes as Uint8Array<ArrayBuffer>], { type: mediaType }));
  const link = document.createElement('a');
  link.href = url;
  link.download = fileName;
  link.click();
  setTimeout(() => URL.revokeObjectURL(url), 10_000);
}
