// From a bare checkout to the whole suite: installs what is missing, lints, type-checks, builds, tests.
import { existsSync, mkdirSync, readFileSync, rmSync } from 'node:fs';
import { ensureBrowser } from './browser.mjs';
import { begin, ensureBuild, ensureNode, ensurePackages, root, run } from './install.mjs';
import { checkLicences } from './licences.mjs';

ensureNode();
ensurePackages();
const chromium = ensureBrowser();
mkdirSync(`${root}.artefacts`, { recursive: true });
if (!existsSync(`${root}../shared/data`)) {
  console.log(
    'Note: ../shared/data is absent; the tests that compare with those scans say so and are left out.',
  );
}

const failed = [];
function step(name, work) {
  console.log(`\n== ${name}`);
  if (!work()) failed.push(name);
}

// The longest check of one core goes beside the others; what it says is shown in its turn.
const types = begin('npx', ['tsc', '-p', 'tsconfig.json', '--noEmit', '--pretty']);
step('format and lint', () => run('npx', ['biome', 'ci', '.']));
step('import direction', () =>
  run('npx', ['depcruise', 'src', 'workers', '--config', '.dependency-cruiser.cjs']),
);
step('dead exports', () => run('npx', ['knip']));
step('licences', checkLicences);
console.log('\n== build');
ensureBuild();
const { ok, output } = await types;
step('types', () => {
  process.stdout.write(output);
  return ok;
});
const report = `${root}.artefacts/unit.json`;
const pages = `${root}.artefacts/browser.json`;
// A report of an earlier run must not speak for this one.
for (const file of [report, pages]) rmSync(file, { force: true });
step('unit tests', () =>
  run('npx', ['vitest', 'run', '--reporter=default', '--reporter=json', `--outputFile.json=${report}`]),
);
step('browser tests', () =>
  run('npx', ['playwright', 'test'], { ARCHGAP_CHROMIUM: chromium, PLAYWRIGHT_JSON_OUTPUT_NAME: pages }),
);

/** Passed, failed, skipped of both runners, read from their own reports; a missing report counts as a failure. */
function tally() {
  if (!existsSync(report) || !existsSync(pages)) return { passed: 0, failures: 1, skipped: 0, again: 0 };
  const unit = JSON.parse(readFileSync(report, 'utf8'));
  const browser = JSON.parse(readFileSync(pages, 'utf8')).stats;
  return {
    passed: unit.numPassedTests + browser.expected + browser.flaky,
    failures: unit.numFailedTests + browser.unexpected,
    again: browser.flaky,
    skipped: unit.numPendingTests + unit.numTodoTests + browser.skipped,
  };
}

const { passed, failures, skipped, again } = tally();
if (again > 0) console.log(`\n${again} browser tests needed a second try: a fault to be looked for.`);
if (failed.length > 0) console.log(`\nFailed: ${failed.join(', ')}`);
console.log(
  `\n${passed} passed, ${Math.max(failures, failed.length > 0 ? 1 : 0)} failed, ${skipped} skipped`,
);
process.exit(failed.length > 0 || failures > 0 || passed === 0 ? 1 : 0);
