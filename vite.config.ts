import { readFileSync } from 'node:fs';
import { defineConfig } from 'vite';
import solid from 'vite-plugin-solid';
import { licencesBeside } from './vite.licences.ts';

const { version } = JSON.parse(readFileSync(new URL('./package.json', import.meta.url), 'utf8')) as {
  version: string;
};

export default defineConfig({
  define: { __ARCHGAP_VERSION__: JSON.stringify(version) },
  base: './',
  plugins: [solid(), licencesBeside()],
  worker: { format: 'es' },
  server: { host: '127.0.0.1' },
  preview: { host: '127.0.0.1' },
  build: {
    target: 'es2022',
    sourcemap: true,
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
  },
});
