import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { request } from 'node:http';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { CONTENT_SECURITY_POLICY, serve } from '../../.ci/serve.mjs';

/** The local server: only its folder, only on loopback, and no request ends it. */
describe('serve', () => {
  const parent = mkdtempSync(join(tmpdir(), 'archgap-serve-'));
  const folder = join(parent, 'site');
  let server: Awaited<ReturnType<typeof serve>>;

  beforeAll(async () => {
    mkdirSync(folder);
    writeFileSync(join(folder, 'index.html'), '<!doctype html><title>page</title>');
    for (const name of ['simplify-worker-Ab_1-x.js', 'page-simplify-worker-Ab.js'])
      writeFileSync(join(folder, name), '');
    writeFileSync(join(parent, 'secret.txt'), 'secret');
    server = await serve(folder, 0);
  });
  afterAll(() => {
    server.server.close();
    rmSync(parent, { recursive: true });
  });

  /** A raw request, so that the path arrives as written. */
  function ask(path: string, method = 'GET') {
    const { port } = new URL(server.url);
    return new Promise<{ status: number; body: string; headers: Record<string, unknown> }>((done, fail) => {
      request({ host: '127.0.0.1', port, path, method }, (response) => {
        let body = '';
        response.on('data', (part) => {
          body += part;
        });
        response.on('end', () => done({ status: response.statusCode ?? 0, body, headers: response.headers }));
      })
        .on('error', fail)
        .end();
    });
  }

  it('gives the page with the policy on every response', async () => {
    const page = await ask('/');
    expect(page.status).toBe(200);
    expect(page.body).toContain('page');
    expect(page.headers['content-security-policy']).toBe(CONTENT_SECURITY_POLICY);
    expect((await ask('/absent')).headers['content-security-policy']).toBe(CONTENT_SECURITY_POLICY);
  });

  it('lets one worker alone compile WebAssembly', async () => {
    const policyOf = async (path: string) => (await ask(path)).headers['content-security-policy'];
    expect(await policyOf('/simplify-worker-Ab_1-x.js')).toContain("script-src 'self' 'wasm-unsafe-eval';");
    expect(await policyOf('/page-simplify-worker-Ab.js')).toBe(CONTENT_SECURITY_POLICY);
  });

  it.each([
    '/../secret.txt',
    '/%2e%2e/secret.txt',
    '/..%2fsecret.txt',
    '/a/../../secret.txt',
    '//../secret.txt',
  ])('does not leave its folder for %s', async (path) => {
    const answer = await ask(path);
    expect(answer.status).toBe(404);
    expect(answer.body).not.toContain('secret');
  });

  it.each(['//', '//[', '/%', '/%00', '/?a=%'])('goes on after the odd path %s', async (path) => {
    await ask(path);
    expect((await ask('/')).status).toBe(200);
  });

  it('refuses to be written to', async () => {
    const answer = await ask('/', 'POST');
    expect(answer.status).toBe(405);
    expect(answer.headers.allow).toBe('GET, HEAD');
  });

  it('listens on loopback only', () => {
    expect(server.server.address()).toMatchObject({ address: '127.0.0.1' });
  });
});
