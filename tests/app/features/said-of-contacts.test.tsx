import { cleanup, fireEvent, screen, waitFor } from '@solidjs/testing-library';
import { Show } from 'solid-js';
import { afterEach, expect, it } from 'vitest';
import { OverClosure } from '../../../src/app/features/closure/OverClosure.tsx';
import { FlossEntry } from '../../../src/app/features/contacts/FlossEntry.tsx';
import { HeadingFields } from '../../../src/app/features/record/HeadingFields.tsx';
import { useApp } from '../../../src/app/kernel/app-context.ts';
import { renderWithApp } from './harness.tsx';

afterEach(cleanup);

function Entry() {
  const { controller } = useApp();
  return (
    <Show when={controller.results.analysis()?.contacts[1]}>
      {(contact) => <FlossEntry contact={contact()} />}
    </Show>
  );
}

it('keeps what floss said with the day, which can be corrected', async () => {
  const { state } = renderWithApp(() => <Entry />);
  await state.controller.openDemo();
  fireEvent.click(await waitFor(() => screen.getByRole('radio', { name: 'It holds' })));
  const [entered] = state.controller.inputs().floss;
  expect(entered).toMatchObject({ toothA: 12, toothB: 11, finding: 'closed', spaceMm: null });
  expect(entered?.foundOn).toMatch(/^\d{4}-\d{2}-\d{2}$/);
  fireEvent.change(screen.getByLabelText('Found on'), { target: { value: '2026-01-02' } });
  expect(state.controller.inputs().floss[0]?.foundOn).toBe('2026-01-02');
  fireEvent.click(screen.getByRole('radio', { name: 'It passes freely' }));
  expect(state.controller.inputs().floss[0]).toMatchObject({ finding: 'open', foundOn: '2026-01-02' });
  fireEvent.click(screen.getByRole('radio', { name: 'Not tried' }));
  expect(state.controller.inputs().floss).toEqual([]);
});

it('over-closes no contact until it is asked to, and takes all of it back at once', async () => {
  const { state } = renderWithApp(() => <OverClosure />);
  await state.controller.openDemo();
  await waitFor(() => expect(state.controller.results.analysis()).not.toBeNull());
  expect(screen.queryByLabelText(/, beyond touching$/)).toBeNull();
  const on = screen.getByRole('checkbox');
  fireEvent.click(on);
  expect(state.controller.inputs().closure.targets ?? []).toEqual([]);
  fireEvent.change(screen.getByLabelText('13-12, beyond touching'), { target: { value: '0.05' } });
  expect(state.controller.inputs().closure.targets).toEqual([{ toothA: 13, toothB: 12, targetMm: -0.05 }]);
  fireEvent.click(on);
  expect(state.controller.inputs().closure.targets).toEqual([]);
});

it('keeps patient and practice with the case, undone like anything else', async () => {
  const { state } = renderWithApp(() => <HeadingFields />);
  await state.controller.openDemo();
  fireEvent.input(screen.getByLabelText('Patient'), { target: { value: ' No. 12 ' } });
  expect(state.controller.inputs().heading).toEqual({ patient: 'No. 12', practice: '' });
  state.controller.undo();
  expect(state.controller.inputs().heading?.patient ?? '').toBe('');
});
