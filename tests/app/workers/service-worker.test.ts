// @vitest-environment node
import { afterEach, beforeEach, expect, it, vi } from 'vitest';

type Handler = (event: { waitUntil(work: Promise<unknown>): void }) => void;

/** Files of the fake cache by its name; one that is `full` has no room for `a.js`. */
const kept = new Map<string, string[]>();
let full = false;
let handlers: Map<string, Handler>;

beforeEach(() => {
  vi.resetModules();
  kept.clear();
  full = false;
  handlers = new Map();
  vi.stubGlobal('self', { addEventListener: (kind: string, act: Handler) => handlers.set(kind, act) });
  vi.stubGlobal('__ARCHGAP_KEPT_FILES__', ['./', './a.js', './b.js']);
  vi.stubGlobal('__ARCHGAP_KEPT_VERSION__', 'v2');
  vi.stubGlobal(
    'Request',
    class {
      constructor(readonly url: string) {}
    },
  );
  vi.stubGlobal('caches', {
    open: async (name: string) => {
      const files = kept.get(name) ?? [];
      kept.set(name, files);
      return {
        put: async ({ url }: { readonly url: string }) => {
          if (full && url === './a.js') throw new DOMException('no room', 'QuotaExceededError');
          // What is on its way when another file is refused arrives all the same.
          if (full) await new Promise((done) => setTimeout(done));
          files.push(url);
        },
        delete: async ({ url }: { readonly url: string }) => {
          if (files.includes(url)) files.splice(files.indexOf(url), 1);
        },
      };
    },
    // As in Chromium: what lies in it takes room for as long as the worker lives.
    delete: async (name: string) => {
      if (kept.get(name)?.length === 0) kept.delete(name);
    },
  });
});
afterEach(() => void vi.unstubAllGlobals());

/** What a server answers for its scripts. */
async function install(script: { readonly ok: boolean; readonly type: string }): Promise<unknown> {
  vi.stubGlobal('fetch', async ({ url }: { readonly url: string }) => {
    const { ok, type } = url === './' ? { ok: true, type: 'text/html; charset=utf-8' } : script;
    return { ok, headers: new Headers({ 'content-type': type }) };
  });
  await import('../../../workers/service-worker.ts');
  let work: Promise<unknown> = Promise.resolve();
  handlers.get('install')!({
    waitUntil: (given) => {
      work = given;
    },
  });
  return work;
}

const SCRIPT = { ok: true, type: 'text/javascript' };

it('keeps every file of a version under its name', async () => {
  await install(SCRIPT);
  expect([...kept]).toEqual([['archgap-page-v2', ['./', './a.js', './b.js']]]);
});

it.each([
  ['is not there', { ok: false, type: 'text/plain' }],
  ['is a page of the server’s own', { ok: true, type: 'text/html' }],
])('keeps nothing where a script %s', async (_, script) => {
  await expect(install(script)).rejects.toThrow('./a.js is not to be had');
  expect(kept.size).toBe(0);
});

it('keeps nothing of a version for which there is no room', async () => {
  full = true;
  await expect(install(SCRIPT)).rejects.toThrow('no room');
  expect(kept.size).toBe(0);
});
