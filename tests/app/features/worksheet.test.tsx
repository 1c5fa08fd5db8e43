import { cleanup, waitFor } from '@solidjs/testing-library';
import { afterEach, expect, it } from 'vitest';
import { placeClick } from '../../../src/app/features/teeth/place-click.ts';
import { withoutClicks } from '../../../src/app/kernel/case-inputs.ts';
import { makeFakeClient } from '../kernel/fake-client.ts';
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

it('unfolds nothing while the first teeth are clicked and nothing is open; done with clicking, it does', async () => {
  const client = makeFakeClient();
  const { measure } = client;
  client.measure = async (...asked) => {
    const found = await measure(...asked);
    const contacts = found.analysis.contacts.map((contact) => ({
      ...contact,
      status: 'bridged' as const,
      bridge: 'full' as const,
      gap: null,
      upperBoundMm: 0.3,
    }));
    return { ...found, analysis: { ...found.analysis, contacts } };
  };
  const { state } = renderWithApp(() => null, client);
  const { controller, worksheet } = state;
  await controller.openFiles([{ name: 'upper.stl', bytes: new Uint8Array([1, 2, 3]) }]);
  controller.change((inputs) => ({ ...inputs, jaw: 'upper' }));
  worksheet.setMode('click-tooth');
  for (const x of [0, 8]) placeClick(state, [x, 0, 0]);
  await waitFor(() => expect(controller.results.analysis()?.contacts).toHaveLength(1));
  const open = () => (['contacts', 'closure'] as const).map((one) => worksheet.isOpen(one));
  expect(open()).toEqual([false, false]);
  worksheet.setMode('look');
  await waitFor(() => expect(open()).toEqual([true, true]));
  // Clicks that undo brings back are done, too, though the next click would make one.
  controller.change(withoutClicks);
  await waitFor(() => expect(controller.results.analysis()).toBeNull());
  for (const one of ['contacts', 'closure'] as const) worksheet.setOpen(one, false);
  worksheet.setMode('click-tooth');
  controller.undo();
  await waitFor(() => expect(controller.results.analysis()).not.toBeNull());
  expect(open()).toEqual([true, true]);
});

it('unfolds at once what is open between the first two teeth', async () => {
  const { state } = renderWithApp(() => null);
  const { controller, worksheet } = state;
  await controller.openFiles([{ name: 'upper.stl', bytes: new Uint8Array([1, 2, 3]) }]);
  controller.change((inputs) => ({ ...inputs, jaw: 'upper' }));
  worksheet.setMode('click-tooth');
  for (const x of [0, 8]) placeClick(state, [x, 0, 0]);
  await waitFor(() => expect(controller.results.analysis()?.contacts[0]?.status).toBe('open'));
  expect(worksheet.isOpen('contacts')).toBe(true);
});
