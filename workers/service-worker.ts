/// <reference lib="webworker" />
import type { SkipWaitingMessage } from './service-worker-api.ts';

/**
 * Keeps the page for use without a network: every file of one version, fetched together and answered together. A new
 * version is fetched beside it and takes over when the user says so, never in the middle of work. It sees requests for
 * the page's own files and nothing else; cases never pass through it.
 */
declare const self: ServiceWorkerGlobalScope;
/** Set by the build. */
declare const __ARCHGAP_KEPT_FILES__: readonly string[];
declare const __ARCHGAP_KEPT_VERSION__: string;

const SKIP_WAITING: SkipWaitingMessage = 'skip-waiting';
const PREFIX = 'archgap-page-';
const CACHE = `${PREFIX}${__ARCHGAP_KEPT_VERSION__}`;

self.addEventListener('install', (event) => event.waitUntil(keepAll()));
self.addEventListener('activate', (event) => event.waitUntil(takeOver()));
self.addEventListener('message', (event) => {
  if (event.data === SKIP_WAITING) void self.skipWaiting();
});
self.addEventListener('fetch', (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (request.method !== 'GET' || url.origin !== self.location.origin) return;
  event.respondWith(answer(request));
});

/** All files or none: a half-kept page would break at some later click. */
async function keepAll(): Promise<void> {
  const replies = await Promise.all(__ARCHGAP_KEPT_FILES__.map(fetched));
  const cache = await caches.open(CACHE);
  const puts = await Promise.allSettled(replies.map(([request, reply]) => cache.put(request, reply)));
  const failed = puts.find((put) => put.status === 'rejected');
  if (!failed) return;
  // Where the device is full, what was kept of it would only take the room of cases. Every file by itself: of a cache
  // that is deleted whole, Chromium frees nothing for as long as this worker lives.
  await Promise.all(replies.map(([request]) => cache.delete(request)));
  await caches.delete(CACHE);
  throw failed.reason;
}

/**
 * @throws TypeError when the server does not have it. Many answer with a page of theirs and "OK" for what they do not
 *   have, as while a new version is being put up: kept as a script, that page would leave this one blank for good.
 */
async function fetched(file: string): Promise<[Request, Response]> {
  // Past the browser's own cache: that may still hold files of an earlier version.
  const request = new Request(file, { cache: 'reload' });
  const reply = await fetch(request);
  const isPage = reply.headers.get('content-type')?.startsWith('text/html') ?? false;
  if (!reply.ok || isPage !== (file === './')) throw new TypeError(`${file} is not to be had`);
  return [request, reply];
}

async function takeOver(): Promise<void> {
  const names = await caches.keys();
  const old = names.filter((name) => name.startsWith(PREFIX) && name !== CACHE);
  await Promise.all(old.map((name) => caches.delete(name)));
  await self.clients.claim();
}

async function answer(request: Request): Promise<Response> {
  const cache = await caches.open(CACHE);
  const kept = await cache.match(request.mode === 'navigate' ? './' : request, { ignoreSearch: true });
  return kept ?? fetch(request);
}
