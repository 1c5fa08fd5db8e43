import solid from 'vite-plugin-solid';
import { defineConfig } from 'vitest/config';

const WITHOUT_DOCUMENT = ['kernel', 'workers', 'view'].map((part) => `tests/app/${part}/**/*.test.ts`);
/** What puts something else in the place of a module or of the browser's database, for its whole thread. */
const APART = ['tests/app/platform/**/*.test.ts', 'tests/app/view/scan-view-pane-acts.test.tsx'];

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
          include: ['tests/**/*.test.ts'],
          exclude: ['tests/app/**', 'tests/e2e/**'],
          testTimeout: 120_000,
          hookTimeout: 120_000,
          benchmark: { include: ['tests/**/*.bench.ts'] },
        },
      },
      {
        plugins: [solid()],
        define: { __ARCHGAP_VERSION__: JSON.stringify('0.0.0-test') },
        test: {
          name: 'page',
          // What of the page needs no document: a second a file is saved.
          environment: 'node',
          isolate: false,
          include: WITHOUT_DOCUMENT,
          testTimeout: 120_000,
          hookTimeout: 120_000,
          benchmark: { include: [] },
        },
      },
      {
        plugins: [solid()],
        define: { __ARCHGAP_VERSION__: JSON.stringify('0.0.0-test') },
        test: {
          name: 'app',
          environment: 'jsdom',
          // The files of one thread share the document, too: made once, and empty for every file.
          isolate: false,
          setupFiles: ['tests/app/empty-document.ts'],
          include: ['tests/app/**/*.test.{ts,tsx}'],
          exclude: [...WITHOUT_DOCUMENT, ...APART],
          testTimeout: 120_000,
          hookTimeout: 120_000,
          benchmark: { include: [] },
        },
      },
      {
        plugins: [solid()],
        define: { __ARCHGAP_VERSION__: JSON.stringify('0.0.0-test') },
        test: {
          name: 'apart',
          environment: 'jsdom',
          include: APART,
          testTimeout: 120_000,
          hookTimeout: 120_000,
          benchmark: { include: [] },
        },
      },
    ],
  },
});
