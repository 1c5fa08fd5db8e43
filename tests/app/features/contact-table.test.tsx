import { cleanup, fireEvent, screen, waitFor, within } from '@solidjs/testing-library';
import { Show } from 'solid-js';
import { afterEach, expect, it } from 'vitest';
import { ContactTable } from '../../../src/app/features/contacts/ContactTable.tsx';
import { useApp } from '../../../src/app/kernel/app-context.ts';
import { renderWithApp } from './harness.tsx';

afterEach(cleanup);

Element.prototype.scrollIntoView = () => {};

function Measured() {
  const { controller } = useApp();
  return (
    <Show when={controller.results.analysis()}>{(analysis) => <ContactTable analysis={analysis()} />}</Show>
  );
}

async function openDemo() {
  const app = renderWithApp(() => <Measured />);
  await app.state.controller.openDemo();
  await waitFor(() => screen.getByRole('table'));
  const rows = within(screen.getByRole('table')).getAllByRole('row').slice(1);
  return { ...app, rows };
}

it('has a row per contact with status in words, value and interval', async () => {
  const { rows } = await openDemo();
  expect(rows.map((row) => row.querySelector('th')?.textContent)).toEqual(['13-12', '12-11', '11-21']);
  expect(rows[0]?.textContent).toContain('open');
  expect(rows[0]?.textContent).toContain('0.30 ± 0.05');
});

it('is walked with the arrow keys, one row in the tab order', async () => {
  const { rows, state } = await openDemo();
  expect(rows.map((row) => row.tabIndex)).toEqual([0, -1, -1]);
  rows[0]?.focus();
  fireEvent.keyDown(rows[0] as HTMLElement, { key: 'ArrowDown' });
  expect(state.controller.results.selected()).toBe('12-11');
  expect(document.activeElement).toBe(rows[1]);
  expect(rows.map((row) => row.tabIndex)).toEqual([-1, 0, -1]);
  fireEvent.keyDown(rows[1] as HTMLElement, { key: 'End' });
  expect(state.controller.results.selected()).toBe('11-21');
  fireEvent.keyDown(rows[2] as HTMLElement, { key: 'ArrowDown' });
  expect(state.controller.results.selected()).toBe('11-21');
});

it('writes the numbers of the chosen notation', async () => {
  const { rows, state } = await openDemo();
  state.preferences.setNumbering('universal');
  expect(rows[0]?.querySelector('th')?.textContent).toBe('6-7');
  state.preferences.setNumbering('palmer');
  expect(rows[2]?.querySelector('th')?.textContent).toBe('UR1-UL1');
});
