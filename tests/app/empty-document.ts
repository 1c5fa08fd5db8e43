import { cleanup, configure } from '@solidjs/testing-library';
import { afterAll } from 'vitest';

/** Busy machines are slow. */
configure({ asyncUtilTimeout: 60_000 });

/** What a file has drawn and left on the document that it shares is gone before the next one. */
afterAll(() => {
  cleanup();
  document.body.replaceChildren();
  document.documentElement.removeAttribute('data-theme');
  localStorage.clear();
});
