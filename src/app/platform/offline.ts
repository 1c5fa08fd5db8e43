import { type Accessor, createSignal, onCleanup, onMount } from 'solid-js';
import type { SkipWaitingMessage } from '../../../workers/service-worker-api.ts';

/** `ready`: a newer version of the page lies on the device and waits to be let in; `coming`: it has been asked in. */
type UpdateState = 'none' | 'ready' | 'coming';

/** The page without a network, and its newer versions. */
export interface Offline {
  readonly update: Accessor<UpdateState>;
  /**
   * Lets the newer version in and loads the page anew; again while it is coming does nothing.
   *
   * @throws what has to be done before fails with
   */
  readonly letIn: () => Promise<void>;
}

/** An open page asks for a newer version this often, ms. */
const ASK_MS = 60 * 60 * 1000;
const SKIP_WAITING: SkipWaitingMessage = 'skip-waiting';

/**
 * Keeps the page for use without a network, by its service worker. Not while developing: there the server is the
 * truth. A browser that refuses (a private window) leaves a page that needs the network, like every other page.
 *
 * @param beforeReload what has to be done before the newer version is let in; where it fails, that is not done
 */
export function keepOffline(beforeReload: () => Promise<unknown>): Offline {
  const [update, setUpdate] = createSignal<UpdateState>('none');
  let registration: ServiceWorkerRegistration | null = null;
  let wanted = false;

  const look = () => {
    // The first version of all has nobody to tell: no other is at work. That there is a controller says too little: while
    // a page is busy, WebKit sets the first version as that before the page hears that it has been fetched.
    if (registration?.waiting && registration.active && navigator.serviceWorker.controller)
      setUpdate((now) => (now === 'coming' ? now : 'ready'));
  };
  const reload = () => {
    if (wanted) location.reload();
  };

  onMount(async () => {
    if (!import.meta.env.PROD || !('serviceWorker' in navigator)) return;
    navigator.serviceWorker.addEventListener('controllerchange', reload);
    try {
      registration = await navigator.serviceWorker.register(new URL('service-worker.js', document.baseURI));
    } catch {
      return;
    }
    registration.addEventListener('updatefound', () =>
      registration?.installing?.addEventListener('statechange', look),
    );
    look();
  });
  const timer = setInterval(() => void registration?.update().catch(() => {}), ASK_MS);
  onCleanup(() => {
    clearInterval(timer);
    navigator.serviceWorker?.removeEventListener('controllerchange', reload);
  });

  return {
    update,
    letIn: async () => {
      if (wanted) return;
      wanted = true;
      setUpdate('coming');
      try {
        await beforeReload();
      } catch (fault) {
        wanted = false;
        setUpdate('ready');
        throw fault;
      }
      registration?.waiting?.postMessage(SKIP_WAITING);
    },
  };
}
