import { cleanup } from '@solidjs/testing-library';
import { afterAll } from 'vitest';

/** What a file has drawn and left on the document that it shares is gone before the next one. */
afterAll(() => {
  cleanup();
  document.body.replaceChildren();
  document.documentElement.removeAttribute('data-theme');
  localStorage.clear();
});
