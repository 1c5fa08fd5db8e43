import { defineConfig } from '@playwright/test';

/** Where the built page is served while it is tested; another port lets two checkouts be tested at a time. */
const PORT = Number(process.env.ARCHGAP_TEST_PORT ?? 4199);

/** Browser tests drive the built page, served with the headers it is meant to be hosted with. */
export default defineConfig({
  testDir: 'tests/e2e',
  outputDir: '.artefacts/browser',
  // Software-drawn views on two busy cores are slow. What needed a second try is named at the end of npm test.
  timeout: 240_000,
  // One test keeps a core and a bit busy: the page calculates in one worker and waits for it.
  workers: 2,
  expect: { timeout: 15_000 },
  forbidOnly: true,
  retries: 1,
  reporter: [['list'], ['json']],
  use: {
    // What is asked for and never comes fails with its name, not with the end of the test.
    actionTimeout: 45_000,
    baseURL: `http://127.0.0.1:${PORT}/`,
    viewport: { width: 1440, height: 900 },
    contextOptions: { reducedMotion: 'reduce' },
    launchOptions: {
      executablePath: process.env.ARCHGAP_CHROMIUM ?? '/usr/bin/chromium',
      args: [
        '--no-sandbox',
        '--disable-gpu',
        '--use-angle=swiftshader',
        '--enable-unsafe-swiftshader',
        '--disable-quic',
        '--no-first-run',
        '--disable-background-networking',
        '--disable-component-update',
        '--disable-sync',
      ],
    },
  },
  webServer: {
    command: `node .ci/serve.mjs --port ${PORT}`,
    url: `http://127.0.0.1:${PORT}/`,
    reuseExistingServer: false,
  },
});
