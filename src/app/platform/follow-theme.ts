import { type Accessor, createEffect, createSignal, onCleanup } from 'solid-js';
import type { ThemeChoice } from '../kernel/preferences.ts';

/**
 * Sets `data-theme` on the root element, always resolved to `light` or `dark`, and follows the system's change. Paper is
 * light.
 */
export function followTheme(choice: Accessor<ThemeChoice>): void {
  const query = window.matchMedia('(prefers-color-scheme: dark)');
  const [systemIsDark, setSystemIsDark] = createSignal(query.matches);
  const listen = (event: MediaQueryListEvent) => setSystemIsDark(event.matches);
  query.addEventListener('change', listen);
  onCleanup(() => query.removeEventListener('change', listen));
  const [printing, setPrinting] = createSignal(false);
  const begin = () => setPrinting(true);
  const end = () => setPrinting(false);
  window.addEventListener('beforeprint', begin);
  window.addEventListener('afterprint', end);
  onCleanup(() => {
    window.removeEventListener('beforeprint', begin);
    window.removeEventListener('afterprint', end);
  });
  createEffect(() => {
    const wanted = choice() === 'dark' || (choice() === 'system' && systemIsDark());
    const dark = wanted && !printing();
    document.documentElement.dataset.theme = dark ? 'dark' : 'light';
  });
}
