import { cleanup, fireEvent, screen, waitFor } from '@solidjs/testing-library';
import { Show } from 'solid-js';
import { afterEach, expect, it } from 'vitest';
import { MotionMap } from '../../../src/app/features/closure/MotionMap.tsx';
import { ArchMap } from '../../../src/app/features/contacts/ArchMap.tsx';
import { useApp } from '../../../src/app/kernel/app-context.ts';
import type { ClosurePlan } from '../../../src/closure/types.ts';
import { threeSpaces } from '../../helpers/make-analysis.ts';
import { makePlan, renderWithApp } from './harness.tsx';

afterEach(cleanup);

function Measured() {
  const { controller } = useApp();
  return <Show when={controller.results.analysis()}>{(analysis) => <ArchMap analysis={analysis()} />}</Show>;
}

it('is one more way to choose a contact, and to let go of it', async () => {
  const { state } = renderWithApp(() => <Measured />);
  await state.controller.openDemo();
  const choices = await waitFor(() => {
    const found = screen.getAllByRole('radio') as HTMLInputElement[];
    expect(found).toHaveLength(3);
    return found;
  });
  fireEvent.click(choices[1] as HTMLInputElement);
  expect(state.controller.results.selected()).toBe('12-11');
  state.controller.results.select('11-21');
  expect(choices.map((choice) => choice.checked)).toEqual([false, false, true]);
  fireEvent.keyDown(choices[2] as HTMLInputElement, { key: 'Escape' });
  expect(state.controller.results.selected()).toBeNull();
});

it('draws an arrow for every crown that moves and says how much longer than true', () => {
  const plan = makePlan({ limitMm: 0.1, maxStages: 3 } as ClosurePlan['settings']);
  const { container } = renderWithApp(() => <MotionMap analysis={threeSpaces()} span={plan.spans[1]!} />);
  expect(container.querySelectorAll('.am-motion')).toHaveLength(1);
  expect(screen.getByText(/times as long as true/)).toBeTruthy();
});
