// Finds Chromium for the browser tests and brings Debian's when it may.
import { existsSync } from 'node:fs';
import { run, stop } from './install.mjs';

const places = [
  process.env.ARCHGAP_CHROMIUM,
  '/usr/bin/chromium',
  '/usr/bin/chromium-browser',
  '/usr/bin/google-chrome',
];
const find = () => places.find((place) => place !== undefined && place !== '' && existsSync(place));

/** Path of a Chromium, installed through apt first when that is possible. */
export function ensureBrowser() {
  const found = find();
  if (found !== undefined) return found;
  const sentence =
    'the browser tests need Chromium and none was found; run "apt-get install chromium" as root, or name one in ARCHGAP_CHROMIUM, and run this again.';
  if (process.getuid?.() !== 0 || !existsSync('/usr/bin/apt-get')) stop(sentence);
  console.log('Installing Chromium for the browser tests ...');
  run('apt-get', ['update', '-qq']);
  run('apt-get', ['install', '-y', '-qq', '--no-install-recommends', 'chromium', 'fonts-dejavu-core'], {
    DEBIAN_FRONTEND: 'noninteractive',
  });
  const installed = find();
  if (installed === undefined) stop(sentence);
  return installed;
}
