import solid from 'vite-plugin-solid';
import { defineConfig } from 'vitest/config';

const WITHOUT_DOCUMENT = ['kernel', 'workers', 'view'].map((part) => `tests/app/${part}/**/*.test.ts`);
/** What puts something else in the place of a module or of the browser's database, for its whole thread. */
const APART = [
  'tests/app/platform/**/*.test.ts',
  'tests/app/view/drawing-client.test.ts',
  'tests/app/view/drawing-service.test.ts',
  'tests/app/view/picture.test.ts',
  'tests/app/view/scan-view-pane-acts.test.tsx',
  'tests/app/view/scan-view.test.ts',
  'tests/app/workers/service-worker.test.ts',
];

/** Buffers empty when they are given back, as in a browser. */
const EMPTYING = 'tests/helpers/buffers-that-empty.ts';

/** How the page is built for its tests: plugins of its own for every project. */
const thePage = () => ({
  plugins: [solid()],
  define: { __ARCHGAP_VERSION__: JSON.stringify('0.0.0-test') },
});
/** Busy machines are slow; the tests have no times of their own. */
const PATIENT = { testTimeout: 120_000, hookTimeout: 120_000, benchmark: { include: [] } };

export default defineConfig({
  test: {
    pool: 'threads',
    maxWorkers: 2,
    projects: [
      {
        define: { __ARCHGAP_VERSION__: JSON.stringify('0.0.0-test') },
        test: {
          name: 'core',
          environment: 'node',
          // Files of one thread share their modules: compiled once, a third of the time saved. No test leaves anything behind.
          isolate: false,
          setupFiles: [EMPTYING],
          include: ['tests/**/*.test.ts'],
          exclude: ['tests/app/**', 'tests/e2e/**'],
          testTimeout: 120_000,
          hookTimeout: 120_000,
          benchmark: { include: ['tests/**/*.bench.ts'] },
        },
      },
      {
        ...thePage(),
        test: {
          name: 'page',
          // What of the page needs no document: a second a file is saved.
          environment: 'node',
          isolate: false,
          setupFiles: [EMPTYING],
          include: WITHOUT_DOCUMENT,
          exclude: APART,
          ...PATIENT,
        },
      },
      {
        ...thePage(),
        test: {
          name: 'app',
          environment: 'jsdom',
          // The files of one thread share the document, too: made once, and empty for every file.
          isolate: false,
          setupFiles: ['tests/app/empty-document.ts', EMPTYING],
          include: ['tests/app/**/*.test.{ts,tsx}'],
          exclude: [...WITHOUT_DOCUMENT, ...APART],
          ...PATIENT,
        },
      },
      {
        ...thePage(),
        test: {
          name: 'apart',
          environment: 'jsdom',
          setupFiles: [EMPTYING],
          include: APART,
          ...PATIENT,
        },
      },
    ],
  },
});
