import { cleanup, fireEvent, screen } from '@solidjs/testing-library';
import { afterEach, expect, it } from 'vitest';
import { CrownsSheet } from '../../../src/app/features/crowns/CrownsSheet.tsx';
import { renderWithApp } from './harness.tsx';

afterEach(cleanup);

const files = ['11.stl', '21.stl'].map((name) => ({ name, bytes: new Uint8Array([1]) }));
const list = () => document.querySelector<HTMLDetailsElement>('.crown-files');

it('answers above the table, and the files make room for the answer until one changes', async () => {
  const { state } = renderWithApp(() => <CrownsSheet />);
  state.crowns.add(files);
  expect(list()?.open).toBe(true);
  expect(list()?.querySelector('summary')?.textContent).toBe('2 crown files');
  fireEvent.click(screen.getByRole('button', { name: 'Measure the contacts' }));
  const table = await screen.findByRole('table');
  const headline = document.querySelector('.headline');
  expect(headline?.textContent).toMatch(/contact/);
  expect(headline!.compareDocumentPosition(table) & Node.DOCUMENT_POSITION_FOLLOWING).toBeTruthy();
  expect(list()?.open).toBe(false);
  // Opened by hand, it stays so while the limit is tried.
  list()!.open = true;
  state.crowns.setLimitMm(0.2);
  expect(list()?.open).toBe(true);
  list()!.open = false;
  state.crowns.add([files[0]!]);
  expect(list()?.open).toBe(true);
  expect(screen.getByText(/Given again under the same name/).textContent).toContain('11.stl');
});
