import { cleanup, fireEvent, screen, waitFor } from '@solidjs/testing-library';
import { afterEach, expect, it } from 'vitest';
import { ClosureSettingsFields } from '../../../src/app/features/closure/ClosureSettingsFields.tsx';
import { OpposingSlot } from '../../../src/app/features/closure/OpposingSlot.tsx';
import { PlanAnswerBox } from '../../../src/app/features/closure/PlanAnswerBox.tsx';
import { SpanMatrix } from '../../../src/app/features/closure/SpanMatrix.tsx';
import { NoteText } from '../../../src/app/features/record/NoteText.tsx';
import type { ClosurePlan } from '../../../src/closure/types.ts';
import { makePlan, renderWithApp } from './harness.tsx';

afterEach(cleanup);

const settings = { limitMm: 0.1, maxStages: 3 } as ClosurePlan['settings'];

it('says how firm the proposal is and what the moved crowns measured; what is grave is never folded away', () => {
  const plan: ClosurePlan = {
    ...makePlan(settings),
    reasons: ['First.', 'Second.', 'Third.', 'Fourth.']
      .map((sentence) => ({ code: 'REASON', sentence }))
      .concat(
        { code: 'TOOTH_NOT_CLICKED', sentence: '14 has no click.' },
        { code: 'NO_ROOM', sentence: 'Tooth 11 meets the opposing arch.' },
      ),
    sensitivity: {
      verdict: 'depends',
      draws: 200,
      hidden: null,
      untried: 0,
      sameSpanShare: 0.7,
      sameStagesShare: 0.7,
      stagesRange: [2, 3],
      outcomes: [],
      dependsOn: [],
      sentence: 'Depends on the space 13-12.',
    },
    surfaceCheck: {
      from: 13,
      to: 21,
      met: true,
      rounds: 2,
      measured: [],
      worstMissMm: 0,
      deepestOverlapMm: 0,
      sentence: 'Measured again.',
    },
  };
  renderWithApp(() => <PlanAnswerBox plan={plan} />);
  expect(screen.getByText('Depends on the space 13-12.', { exact: false })).toBeTruthy();
  expect(screen.getByText('Measured again.')).toBeTruthy();
  const open = [...document.querySelectorAll('.answer > .reasons li')].map((li) => li.textContent);
  expect(open).toEqual(['14 has no click.', 'Tooth 11 meets the opposing arch.', 'First.', 'Second.']);
  expect(screen.getByText('2 more reasons')).toBeTruthy();
});

it('shows no number where the scan gives none: a quiet mark, or by how much it grows', () => {
  const plan = makePlan(settings);
  const unseen = (afterMm: number) => ({
    toothA: 13,
    toothB: 12,
    status: 'bridged' as const,
    beforeMm: null,
    countedMm: 0,
    afterMm,
    insideSpan: false,
    opened: afterMm > 0.01,
  });
  const rows = plan.spans.map((span, i) => ({
    ...span,
    stages: i === 0 ? null : span.stages,
    stagesNeeded: i === 0 ? 5 : span.stagesNeeded,
    contacts: [unseen(0), unseen(0.24)],
  }));
  renderWithApp(() => <SpanMatrix plan={{ ...plan, spans: rows }} />);
  const cells = [...document.querySelectorAll('.matrix-cell')].map((cell) => cell.textContent);
  expect(cells.slice(0, 2)).toEqual(['·', '▲opened: +.24']);
  expect(document.querySelector('.span-stages')?.textContent).toBe('5 st., > 3');
});

it('a case says where it departs from the practice, and goes back or becomes the practice', async () => {
  const { state } = renderWithApp(() => <ClosureSettingsFields />);
  expect(screen.getByText('This case follows the preferences of the practice.')).toBeTruthy();
  state.controller.change((inputs) => ({ ...inputs, closure: { ...inputs.closure, maxStages: 5 } }));
  expect(screen.getByText('at most 5 stages (practice: 3)')).toBeTruthy();
  fireEvent.click(screen.getByRole('button', { name: 'As the practice', hidden: true }));
  expect(state.controller.inputs().closure.maxStages).toBe(3);
  state.controller.undo();
  fireEvent.click(screen.getByRole('button', { name: /Make these/, hidden: true }));
  expect(state.practice.practice().maxStages).toBe(5);
  expect(screen.getByText('This case follows the preferences of the practice.')).toBeTruthy();
});

it('takes an opposing scan, says what is assumed, and lets it go', async () => {
  const { state, client } = renderWithApp(() => <OpposingSlot />);
  await state.controller.openDemo();
  const input = document.querySelector<HTMLInputElement>('input[type=file]')!;
  const file = new File([new Uint8Array([1])], 'lower.stl');
  file.arrayBuffer = async () => new Uint8Array([1]).buffer;
  fireEvent.change(input, { target: { files: [file] } });
  await waitFor(() => screen.getByText('lower.stl'));
  expect(screen.getByText(/taken to lie in the same frame/)).toBeTruthy();
  fireEvent.click(screen.getByRole('button', { name: 'Remove' }));
  await waitFor(() => expect(client.calls).toContain('dropOpposing'));
  expect(state.controller.results.opposing()).toBeNull();
});

it('the note can be edited, stays, and goes back to what the plan writes', async () => {
  const { state } = renderWithApp(() => <NoteText />);
  await state.controller.openDemo();
  const box = await waitFor(() => screen.getByRole<HTMLTextAreaElement>('textbox'));
  const written = box.value;
  expect(written).toContain('Closure note');
  fireEvent.input(box, { target: { value: 'Mine.' } });
  expect(state.controller.inputs().note).toEqual({ text: 'Mine.', basis: written });
  expect(screen.getByText(/Edited by hand/)).toBeTruthy();
  fireEvent.click(screen.getByRole('button', { name: 'As the plan writes it' }));
  expect(screen.getByRole<HTMLTextAreaElement>('textbox').value).toBe(written);
});

it('a plan that changes while the note is typed does not write over it, and the change is told', async () => {
  const { state } = renderWithApp(() => <NoteText />);
  await state.controller.openDemo();
  const box = await waitFor(() => screen.getByRole<HTMLTextAreaElement>('textbox'));
  box.focus();
  fireEvent.input(box, { target: { value: 'My own words.' } });
  state.controller.change((inputs) => ({ ...inputs, limitMm: 0.2 }));
  await waitFor(() => expect(state.controller.orderNote()?.isOld).toBe(true));
  fireEvent.input(box, { target: { value: 'My own words, longer ' } });
  expect(box.value).toBe('My own words, longer ');
  expect(state.controller.orderNote()).toMatchObject({ text: 'My own words, longer ', isOld: true });
  expect(screen.getByText(/The plan has changed since/)).toBeTruthy();
});
