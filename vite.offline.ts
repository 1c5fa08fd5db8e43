import { createHash } from 'node:crypto';
import { readdirSync, readFileSync } from 'node:fs';
import type { Plugin } from 'vite';

/** The service worker's chunk; its address must not change, or browsers would keep the old one. */
export const SERVICE_WORKER_FILE = 'service-worker.js';

/** Files of `public/` that the page does without when it is offline. */
const NOT_KEPT = /demo-truth\.json$/;

/**
 * Tells the service worker which files make the page and a version that changes with any byte of them. Everything
 * else is the bundler's: the worker is an entry of its own.
 */
export function offline(publicDir: string): Plugin {
  return {
    name: 'archgap-offline',
    apply: 'build',
    enforce: 'post',
    generateBundle(_, bundle) {
      const worker = bundle[SERVICE_WORKER_FILE];
      if (worker?.type !== 'chunk') this.error(`The build holds no ${SERVICE_WORKER_FILE}.`);
      const hash = createHash('sha256').update(worker.code);
      const files = new Map<string, string | Uint8Array>();
      for (const [name, file] of Object.entries(bundle)) {
        if (name === SERVICE_WORKER_FILE || name.endsWith('.map')) continue;
        files.set(name, file.type === 'chunk' ? file.code : file.source);
      }
      for (const entry of readdirSync(publicDir, { recursive: true, withFileTypes: true })) {
        const name = `${entry.parentPath}/${entry.name}`.slice(publicDir.length).replace(/^[/\\]/, '');
        if (entry.isFile() && !NOT_KEPT.test(name)) files.set(name, readFileSync(`${publicDir}/${name}`));
      }
      const names = [...files.keys()].sort();
      for (const name of names) hash.update(name).update(files.get(name) ?? '');
      const kept = ['./', ...names.filter((name) => name !== 'index.html').map((name) => `./${name}`)];
      worker.code = worker.code
        .replaceAll('__ARCHGAP_KEPT_FILES__', JSON.stringify(kept))
        .replaceAll('__ARCHGAP_KEPT_VERSION__', JSON.stringify(hash.digest('hex').slice(0, 16)));
    },
  };
}
