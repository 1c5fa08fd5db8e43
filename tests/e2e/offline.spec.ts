import { appendFileSync, cpSync, mkdtempSync, rmSync } from 'node:fs';
import type { Server } from 'node:http';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { chromium, type Page } from '@playwright/test';
import { serve } from '../../.ci/serve.mjs';
import { expectAccessibleInBoth } from './axe.ts';
import { appears, OPEN_LINE } from './page-steps.ts';
import { expect, test } from './watched-test.ts';

/** The page without a network after the first visit, and its next version. */

const root = fileURLToPath(new URL('../..', import.meta.url));

const kept = (page: Page) =>
  page.waitForFunction(async () => {
    await navigator.serviceWorker.ready;
    return navigator.serviceWorker.controller !== null;
  });

/** A copy of the built page on a server of its own, so that its files can be changed. */
async function onOwnSite(
  work: (site: { folder: string; server: Server; url: string }) => Promise<void>,
): Promise<void> {
  const folder = mkdtempSync(join(tmpdir(), 'archgap-site-'));
  cpSync(`${root}dist`, folder, { recursive: true });
  const { server, url } = await serve(folder, 0);
  try {
    await work({ folder, server, url });
  } finally {
    server.closeAllConnections();
    server.close();
    rmSync(folder, { recursive: true });
  }
}

test('after the first visit the whole demo runs without a network', async ({ page, context }) => {
  await page.goto('/');
  await kept(page);
  await context.setOffline(true);
  await page.goto('/?demo');
  await appears(page.getByText(OPEN_LINE));
  const manifest = await page.evaluate(async () => {
    const link = document.querySelector<HTMLLinkElement>('link[rel=manifest]');
    const response = await fetch(link!.href);
    const { icons, name } = await response.json();
    const found = await Promise.all(
      icons.map(async ({ src }: { src: string }) => (await fetch(new URL(src, link!.href))).ok),
    );
    return { name, found, policy: (await fetch('./')).headers.get('content-security-policy') };
  });
  expect(manifest.name).toBe('Archgap');
  expect(manifest.found).toEqual([true, true, true, true]);
  // What is kept is kept with its headers: the policy holds without the server, too.
  expect(manifest.policy).toContain("default-src 'none'");
});

test('the browser itself finds the page installable', async ({ baseURL, launchOptions }) => {
  // A window of its own profile: a private one, as tests run in, never installs anything.
  const profile = mkdtempSync(join(tmpdir(), 'archgap-profile-'));
  const context = await chromium.launchPersistentContext(profile, launchOptions);
  try {
    const page = await context.newPage();
    await page.goto(baseURL!);
    await kept(page);
    const browser = await context.newCDPSession(page);
    const manifest = await browser.send('Page.getAppManifest');
    expect(manifest.errors).toEqual([]);
    expect(JSON.parse(manifest.data ?? '').name).toBe('Archgap');
    await expect
      .poll(async () => (await browser.send('Page.getInstallabilityErrors')).installabilityErrors)
      .toEqual([]);
  } finally {
    await context.close();
    rmSync(profile, { recursive: true, force: true });
  }
});

test('a newer version is told, and comes in when the user says so', async ({ page }) => {
  await onOwnSite(async ({ folder, url }) => {
    await page.goto(url);
    await kept(page);
    appendFileSync(join(folder, 'service-worker.js'), '\n// The next version.\n');
    await page.evaluate(async () => (await navigator.serviceWorker.ready).update());
    await expect(page.getByText('A newer version of this page is ready.')).toBeVisible();
    await expectAccessibleInBoth(page, 'a newer version is ready');
    await page.screenshot({ path: `${root}.artefacts/update-1440.png` });
    await Promise.all([page.waitForEvent('load'), page.getByRole('button', { name: 'Use it now' }).click()]);
    await expect(page.getByRole('heading', { name: /Is there a space left/ })).toBeVisible();
    await expect(page.getByText('A newer version of this page is ready.')).toHaveCount(0);
  });
});

test('a version of which the server lacks a file is not taken, and the one there goes on', async ({
  page,
}) => {
  await onOwnSite(async ({ folder, server, url }) => {
    await page.goto(url);
    await kept(page);
    // As many servers do while a version is being put up: its page, and all well, for what is not there yet.
    const [answers] = server.listeners('request') as ((...exchange: unknown[]) => void)[];
    server.removeAllListeners('request');
    server.on('request', (request, reply) => {
      if (!/\.js$/.test(request.url ?? '') || request.url?.endsWith('service-worker.js'))
        return answers!(request, reply);
      reply.setHeader('content-type', 'text/html; charset=utf-8');
      reply.end('<!doctype html><title>elsewhere</title>');
    });
    appendFileSync(join(folder, 'service-worker.js'), '\n// The next version.\n');
    const became = await page.evaluate(async () => {
      const registration = await navigator.serviceWorker.ready;
      const found = new Promise<ServiceWorker>((done) => {
        registration.addEventListener('updatefound', () => done(registration.installing!));
      });
      await registration.update().catch(() => {});
      const next = await found;
      return new Promise<string>((done) => {
        const tell = () => /installed|activated|redundant/.test(next.state) && done(next.state);
        next.addEventListener('statechange', tell);
        tell();
      });
    });
    expect(became).toBe('redundant');
    await page.reload();
    await expect(page.getByRole('heading', { name: /Is there a space left/ })).toBeVisible();
    await expect(page.getByText('A newer version of this page is ready.')).toHaveCount(0);
  });
});
