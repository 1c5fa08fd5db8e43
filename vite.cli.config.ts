import { readFileSync } from 'node:fs';
import { defineConfig } from 'vite';
import { licencesBeside } from './vite.licences.ts';

const { version } = JSON.parse(readFileSync(new URL('./package.json', import.meta.url), 'utf8')) as {
  version: string;
};

/** The command line, bundled so that it runs without node_modules. */
export default defineConfig({
  publicDir: false,
  plugins: [licencesBeside()],
  define: { __ARCHGAP_VERSION__: JSON.stringify(version) },
  ssr: { noExternal: true, target: 'node' },
  build: {
    ssr: true,
    outDir: 'dist-cli',
    target: 'node20',
    minify: false,
    rolldownOptions: {
      input: { archgap: 'src/cli/archgap.ts' },
      output: {
        entryFileNames: '[name].js',
        chunkFileNames: 'chunks/[name].js',
        banner: (chunk) => (chunk.isEntry && chunk.name === 'archgap' ? '#!/usr/bin/env node' : ''),
      },
    },
  },
});
