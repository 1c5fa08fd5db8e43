import type { Plugin } from 'vite';
import { licenceTexts } from './.ci/licences.mjs';

/** Puts the licences of the bundled packages beside the bundle, as their terms ask. */
export function licencesBeside(): Plugin {
  return {
    name: 'licences-beside',
    apply: 'build',
    generateBundle() {
      this.emitFile({ type: 'asset', fileName: 'third-party-licences.txt', source: licenceTexts() });
    },
  };
}
