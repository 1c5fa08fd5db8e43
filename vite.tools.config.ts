import { defineConfig } from 'vite';

/** The project's own tools (demo generator, evaluation), bundled so that node runs them without a TypeScript loader. */
export default defineConfig({
  publicDir: false,
  // The browser driver brings files of its own and stays where it is installed.
  ssr: { noExternal: true, external: ['@playwright/test', 'manifold-3d'], target: 'node' },
  build: {
    ssr: true,
    outDir: '.artefacts/tools',
    target: 'node20',
    minify: false,
    rolldownOptions: {
      input: {
        fixtures: 'fixtures/build.ts',
        evaluate: 'tests/evaluation/evaluate.ts',
        validate: 'tests/evaluation/validate.ts',
        study: 'tests/evaluation/study.ts',
        bench: 'tests/benchmark/benchmark.ts',
        'bench-batch': 'tests/benchmark/batch.ts',
        'bench-page': 'tests/benchmark/page.ts',
        performance: 'tests/benchmark/performance.ts',
        race: 'tests/benchmark/race/race.ts',
        fuzz: 'tests/fuzz/fuzz.ts',
        soak: 'tests/soak/soak.ts',
      },
      output: { entryFileNames: '[name].js', chunkFileNames: 'chunks/[name].js' },
    },
  },
});
