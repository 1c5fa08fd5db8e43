// From a bare checkout to the page with the demo case: installs what is missing, builds, serves on loopback.
import { ensureBuild, ensureNode, ensurePackages, root } from './install.mjs';
import { serveNear } from './serve.mjs';

ensureNode();
ensurePackages();
ensureBuild();
const { url } = await serveNear(`${root}dist`, 4173);
console.log(`
Archgap is served at ${url}
Open that address and choose "Open the demo case" (an invented patient), or go straight to ${url}?demo
Everything stays on this machine. Stop with Ctrl-C.`);
