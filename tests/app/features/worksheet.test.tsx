import { cleanup, waitFor } from '@solidjs/testing-library';
import { afterEach, expect, it } from 'vitest';
import { withoutClicks } from '../../../src/app/kernel/case-inputs.ts';
import { renderWithApp } from './harness.tsx';

afterEach(cleanup);

it('unfolds the first results of a case, and leaves folded what was folded since', async () => {
  const { state } = renderWithApp(() => null);
  const { controller, worksheet } = state;
  const { results } = controller;
  await controller.openDemo();
  await waitFor(() => expect(results.analysis()).not.toBeNull());
  expect(['contacts', 'closure'].map((one) => worksheet.isOpen(one as 'contacts'))).toEqual([true, true]);
  worksheet.setOpen('contacts', false);
  const first = results.analysis();
  controller.change((inputs) => ({ ...inputs, limitMm: 0.3 }));
  await waitFor(() => expect(results.analysis()).not.toBe(first));
  expect(['contacts', 'closure'].map((one) => worksheet.isOpen(one as 'contacts'))).toEqual([false, true]);
  // Without clicks there are no results; with the next ones it is as at the first.
  controller.change(withoutClicks);
  await waitFor(() => expect(results.analysis()).toBeNull());
  controller.undo();
  await waitFor(() => expect(results.analysis()).not.toBeNull());
  expect(worksheet.isOpen('contacts')).toBe(true);
});
