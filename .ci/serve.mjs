// Serves the built page on loopback with the security headers it is meant to be hosted with.
import { createReadStream, existsSync, statSync } from 'node:fs';
import { createServer } from 'node:http';
import { basename, extname, normalize, resolve, sep } from 'node:path';
import { fileURLToPath } from 'node:url';
import { parseArgs } from 'node:util';
import { root, stop } from './install.mjs';

const TYPES = {
  '.html': 'text/html; charset=utf-8',
  '.js': 'text/javascript; charset=utf-8',
  '.css': 'text/css; charset=utf-8',
  '.json': 'application/json; charset=utf-8',
  '.map': 'application/json; charset=utf-8',
  '.svg': 'image/svg+xml',
  '.png': 'image/png',
  '.ply': 'application/octet-stream',
  '.stl': 'application/octet-stream',
  '.webmanifest': 'application/manifest+json',
};

export const CONTENT_SECURITY_POLICY = [
  "default-src 'none'",
  "script-src 'self'",
  "style-src 'self'",
  "worker-src 'self'",
  "connect-src 'self'",
  "img-src 'self' data: blob:",
  "font-src 'self'",
  "manifest-src 'self'",
  "base-uri 'none'",
  "form-action 'none'",
  "frame-ancestors 'none'",
].join('; ');

/** The worker that simplifies heavy scans for the eye compiles WebAssembly; no other file may. */
const COMPILES_WASM = /^simplify-worker-[\w-]+\.js$/;

/** The policy of a file: a worker has that of its own script. */
function policyFor(name) {
  return COMPILES_WASM.test(name)
    ? CONTENT_SECURITY_POLICY.replace("script-src 'self'", "script-src 'self' 'wasm-unsafe-eval'")
    : CONTENT_SECURITY_POLICY;
}

const HEADERS = {
  'Content-Security-Policy': CONTENT_SECURITY_POLICY,
  'Cross-Origin-Opener-Policy': 'same-origin',
  'Cross-Origin-Embedder-Policy': 'require-corp',
  'Cross-Origin-Resource-Policy': 'same-origin',
  'X-Content-Type-Options': 'nosniff',
  'Referrer-Policy': 'no-referrer',
};

/** The file of `folder` that a request path names, or null when there is none or it would lie outside. */
function fileFor(folder, path) {
  let decoded;
  try {
    decoded = decodeURIComponent(path);
  } catch {
    return null;
  }
  if (decoded.includes('\0')) return null;
  const wanted = resolve(folder, `.${normalize(`/${decoded}`)}`);
  if (wanted !== folder && !wanted.startsWith(folder + sep)) return null;
  const file = wanted === folder ? resolve(folder, 'index.html') : wanted;
  return existsSync(file) && statSync(file).isFile() ? file : null;
}

/** Starts the server; `port` 0 takes a free one. Resolves to the server and its address. */
export function serve(folder, port) {
  const base = resolve(folder);
  const server = createServer((request, response) => {
    const [path = '/'] = (request.url ?? '/').split('?', 1);
    const file = fileFor(base, path);
    if (request.method !== 'GET' && request.method !== 'HEAD') {
      response.writeHead(405, { ...HEADERS, Allow: 'GET, HEAD' }).end();
    } else if (file === null) {
      response
        .writeHead(404, { ...HEADERS, 'Content-Type': 'text/plain; charset=utf-8' })
        .end('No such file.\n');
    } else {
      const type = TYPES[extname(file)] ?? 'application/octet-stream';
      response.writeHead(200, {
        ...HEADERS,
        'Content-Security-Policy': policyFor(basename(file)),
        'Content-Type': type,
        'Content-Length': statSync(file).size,
      });
      if (request.method === 'HEAD') response.end();
      else
        createReadStream(file)
          .on('error', () => response.destroy())
          .pipe(response);
    }
  });
  return new Promise((done, fail) => {
    server.once('error', fail);
    server.listen(port, '127.0.0.1', () =>
      done({ server, url: `http://127.0.0.1:${server.address().port}/` }),
    );
  });
}

/** As `serve`, moving on to a free port when the wanted one is taken. */
export async function serveNear(folder, port) {
  try {
    return await serve(folder, port);
  } catch (error) {
    if (error.code !== 'EADDRINUSE') throw error;
    return serve(folder, 0);
  }
}

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  const { values } = parseArgs({ options: { port: { type: 'string', default: '4173' } } });
  const folder = `${root}dist`;
  if (!existsSync(`${folder}/index.html`))
    stop('there is no built page in dist/; run "npm run build" first.');
  const port = Number(values.port);
  if (!Number.isInteger(port) || port < 0 || port > 65535) {
    stop(`found --port ${values.port}, expected a whole number from 0 to 65535.`);
  }
  const { url } = await serveNear(folder, port);
  console.log(`Archgap is served at ${url} (stop with Ctrl-C).`);
}
