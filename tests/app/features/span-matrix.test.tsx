import { cleanup, fireEvent, screen, waitFor } from '@solidjs/testing-library';
import { Show } from 'solid-js';
import { afterEach, expect, it } from 'vitest';
import { SpanMatrix } from '../../../src/app/features/closure/SpanMatrix.tsx';
import { StagePlayer } from '../../../src/app/features/closure/StagePlayer.tsx';
import { useApp } from '../../../src/app/kernel/app-context.ts';
import { makeFakeClient } from '../kernel/fake-client.ts';
import { makePlan, renderWithApp } from './harness.tsx';

afterEach(cleanup);

function Planned() {
  const { controller } = useApp();
  return (
    <Show when={controller.results.plan()}>
      {(plan) => (
        <>
          <SpanMatrix plan={plan()} />
          <StagePlayer />
        </>
      )}
    </Show>
  );
}

async function openDemo() {
  const client = makeFakeClient();
  client.plan = async (_analysis, settings) => makePlan(settings);
  client.completePlan = async (_scanId, _analysis, settings) => makePlan(settings);
  const app = renderWithApp(() => <Planned />, client);
  await app.state.controller.openDemo();
  await waitFor(() => screen.getByRole('table'));
  return app;
}

it('marks an opened contact and one that stays open by shape and word, and the proposed row by word', async () => {
  await openDemo();
  const cells = [...document.querySelectorAll('.matrix-cell')].map((cell) => cell.textContent);
  expect(cells).toEqual(['▲opened: .45', '0', '0', '0', '0', '●still open: .20']);
  const rows = [...document.querySelectorAll('.matrix tbody tr')].map(
    (row) => row.querySelector('th')?.textContent,
  );
  expect(rows).toEqual(['12 to 211 st.', '13 to 21proposed2 st.']);
});

it('plays the proposed span, and the chosen one instead', async () => {
  const { state } = await openDemo();
  const { playback } = state;
  const slider = screen.getByRole<HTMLInputElement>('slider');
  expect(playback.motions()).toBeNull();
  fireEvent.input(slider, { target: { value: '1' } });
  expect(playback.motions()?.map((motion) => motion.tooth)).toEqual([13]);
  expect(playback.scale()).toBeCloseTo(0.5 * playback.exaggeration(), 12);
  playback.setExaggeration(1);
  expect(playback.scale()).toBeCloseTo(0.5, 12);
  fireEvent.click(screen.getByRole('button', { name: /12 to 21/ }));
  expect(playback.motions()?.map((motion) => motion.tooth)).toEqual([12]);
  expect(playback.scale()).toBeCloseTo(1, 12);
});
