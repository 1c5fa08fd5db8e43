import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { defineConfig } from 'vite';
import solid from 'vite-plugin-solid';
import { licencesBeside } from './vite.licences.ts';
import { offline, SERVICE_WORKER_FILE } from './vite.offline.ts';

const { version } = JSON.parse(readFileSync(new URL('./package.json', import.meta.url), 'utf8')) as {
  version: string;
};

export default defineConfig({
  define: { __ARCHGAP_VERSION__: JSON.stringify(version) },
  base: './',
  plugins: [solid(), licencesBeside(), offline(fileURLToPath(new URL('./public', import.meta.url)))],
  worker: { format: 'es' },
  server: { host: '127.0.0.1' },
  preview: { host: '127.0.0.1' },
  build: {
    target: 'es2022',
    sourcemap: true,
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
    rolldownOptions: {
      input: { page: 'index.html', 'service-worker': 'workers/service-worker.ts' },
      output: {
        entryFileNames: (chunk) =>
          chunk.name === 'service-worker' ? SERVICE_WORKER_FILE : 'assets/[name]-[hash].js',
      },
    },
  },
});
