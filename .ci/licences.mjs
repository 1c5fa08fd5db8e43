// Lists the licences of everything that is shipped (the page's and the command line's dependencies, through to the
// last), and ends with 1 when one is not among those the project accepts. Read from the lock file: no network.
import { readdirSync, readFileSync } from 'node:fs';
import { root } from './install.mjs';

/** Licences that allow shipping in an MIT-licensed work with no more than a notice. */
const ACCEPTED = new Set([
  '0BSD',
  'Apache-2.0',
  'BSD-2-Clause',
  'BSD-3-Clause',
  'BlueOak-1.0.0',
  'CC0-1.0',
  'ISC',
  'MIT',
  'Unlicense',
  'Zlib',
]);

/** A licence expression holds when one of its alternatives holds, each with all its parts. */
export function accepted(expression) {
  return expression
    .replaceAll(/[()]/g, '')
    .split(/\s+OR\s+/)
    .some((choice) => choice.split(/\s+AND\s+/).every((name) => ACCEPTED.has(name.trim())));
}

/** Every package of a lock file that is not for development only, by name and version. */
export function shippedPackages(lock) {
  return Object.entries(lock.packages)
    .filter(([path, facts]) => path !== '' && facts.dev !== true && facts.devOptional !== true)
    .map(([path, { version, license }]) => ({
      path,
      name: path.slice(path.lastIndexOf('node_modules/') + 'node_modules/'.length),
      version,
      licence: license ?? 'none stated',
    }))
    .sort((a, b) => (a.name < b.name ? -1 : a.name > b.name ? 1 : 0));
}

const shipped = () => shippedPackages(JSON.parse(readFileSync(`${root}package-lock.json`, 'utf8')));

/** The licences of all shipped packages in full, as their terms ask: goes beside each build. */
export function licenceTexts() {
  return shipped()
    .map(({ path, name, version, licence }) => {
      const folder = `${root}${path}/`;
      const file = readdirSync(folder).find((entry) => /^(licen[cs]e|copying)/i.test(entry));
      const words = file === undefined ? licence : readFileSync(folder + file, 'utf8').trim();
      return `${name} ${version} (${licence})\n\n${words}\n`;
    })
    .join(`\n${'-'.repeat(72)}\n\n`);
}

/** Prints how many packages carry which licence, and each that is not accepted. @returns whether all are accepted */
export function checkLicences() {
  const packages = shipped();
  const refused = packages.filter(({ licence }) => !accepted(licence));
  const counts = new Map();
  for (const { licence } of packages) counts.set(licence, (counts.get(licence) ?? 0) + 1);
  console.log(
    `${packages.length} shipped packages: ${[...counts].map(([name, n]) => `${n} ${name}`).join(', ')}`,
  );
  for (const { name, version, licence } of refused)
    console.log(`not accepted: ${name} ${version}: ${licence}`);
  return packages.length > 0 && refused.length === 0;
}

if (process.argv[1] === import.meta.filename) {
  for (const { name, version, licence } of shipped()) console.log(`${name} ${version}: ${licence}`);
  process.exit(checkLicences() ? 0 : 1);
}
