import { type Accessor, createEffect, createSignal, onCleanup } from 'solid-js';
import type { ThemeChoice } from '../kernel/preferences.ts';

/** Sets `data-theme` on the root element, always resolved to `light` or `dark`, and follows the system's change. */
export function followTheme(choice: Accessor<ThemeChoice>): void {
  const query = window.matchMedia('(prefers-color-scheme: dark)');
  const [systemIsDark, setSystemIsDark] = createSignal(query.matches);
  const listen = (event: MediaQueryListEvent) => setSystemIsDark(event.matches);
  query.addEventListener('change', listen);
  onCleanup(() => query.removeEventListener('change', listen));
  createEffect(() => {
    const dark = choice() === 'dark' || (choice() === 'system' && systemIsDark());
    document.documentElement.dataset.theme = dark ? 'dark' : 'light';
  });
}
