import { defineConfig } from 'vite';

/** The generator of the demo case, bundled so that node runs it without a TypeScript loader. */
export default defineConfig({
  publicDir: false,
  ssr: { noExternal: true, target: 'node' },
  build: {
    ssr: true,
    outDir: 'dist-fixtures',
    target: 'node20',
    minify: false,
    rolldownOptions: {
      input: { build: 'fixtures/build.ts' },
      output: { entryFileNames: '[name].js', chunkFileNames: 'chunks/[name].js' },
    },
  },
});
