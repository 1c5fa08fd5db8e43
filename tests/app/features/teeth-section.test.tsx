import { cleanup, fireEvent, screen, waitFor, within } from '@solidjs/testing-library';
import { afterEach, expect, it, vi } from 'vitest';
import { placeClick } from '../../../src/app/features/teeth/place-click.ts';
import { TeethSection } from '../../../src/app/features/teeth/TeethSection.tsx';
import { clickedTeeth, withMissing, withoutTooth } from '../../../src/app/kernel/case-inputs.ts';
import type { CaseController } from '../../../src/app/kernel/create-case.ts';
import { inputError } from '../../../src/geometry/archgap-error.ts';
import type { Vec3 } from '../../../src/geometry/types.ts';
import { renderWithApp } from './harness.tsx';

afterEach(cleanup);

const scanFile = () => ({ name: 'upper.stl', bytes: new Uint8Array([1, 2, 3]) });
const at = (x: number): Vec3 => [x, 0, 0];

/** A scan without clicks, its jaw said, ready to be clicked. */
async function openUpper() {
  const app = renderWithApp(() => <TeethSection />);
  await app.state.controller.openFiles([scanFile()]);
  fireEvent.click(screen.getByRole('radio', { name: 'Upper' }));
  return app;
}

it('asks for the jaw before anything can be clicked', async () => {
  const { state } = renderWithApp(() => <TeethSection />);
  await state.controller.openFiles([scanFile()]);
  expect(screen.getByText('Say first which jaw the scan shows.')).toBeTruthy();
  placeClick(state, at(0));
  expect(state.controller.inputs().clicks).toEqual([]);
  // Whoever clicks on the scan does not look at the worksheet.
  expect(state.controller.notice()?.sentence).toMatch(/click was not taken.*which jaw/);
  fireEvent.click(screen.getByRole('radio', { name: 'Upper' }));
  expect(state.controller.notice()).toBeNull();
  expect(state.worksheet.mode()).toBe('click-tooth');
});

it('says before the first click at which side of the picture the patient’s right lies', async () => {
  const { state } = await openUpper();
  const hint = () => screen.queryByText(/the patient’s right lies/)?.textContent ?? '';
  expect(hint()).toContain('on the left of the picture in an upper jaw');
  fireEvent.click(screen.getByRole('radio', { name: 'Lower' }));
  expect(hint()).toContain('on the right of the picture in a lower jaw');
  state.controller.addClick({ tooth: 47, point: at(0) });
  expect(hint()).toBe('');
});

it('puts numbers that run the wrong way round right with one button, as one step', async () => {
  const { state, client } = await openUpper();
  const segment = client.segment.bind(client);
  vi.spyOn(client, 'segment').mockImplementation(async (scanId, clicks, watch) => {
    const isMirrored = clicks.jaw === 'upper' && clicks.clicks[0]?.tooth === 17;
    const warning = { code: 'NUMBERS_MIRRORED', tooth: null, teeth: [], sentence: 'The wrong way round.' };
    return { ...(await segment(scanId, clicks, watch)), warnings: isMirrored ? [warning] : [] };
  });
  const { controller } = state;
  const teeth = () => controller.inputs().clicks.map(({ tooth }) => tooth);
  controller.addClicks([17, 16, 21].map((tooth) => ({ tooth, point: at(tooth) })));
  fireEvent.click(await screen.findByRole('button', { name: 'Exchange right and left' }));
  expect(teeth()).toEqual([27, 26, 11]);
  // The warning still stands until the teeth are told apart anew; pressed again, all would be as before.
  expect(screen.getByText('The wrong way round.')).toBeTruthy();
  expect(screen.queryByRole('button', { name: 'Exchange right and left' })).toBeNull();
  await waitFor(() => expect(screen.queryByText('The wrong way round.')).toBeNull());
  controller.undo();
  expect(teeth()).toEqual([17, 16, 21]);
  fireEvent.click(await screen.findByRole('button', { name: 'It is the lower jaw' }));
  expect([controller.inputs().jaw, ...teeth()]).toEqual(['lower', 47, 46, 31]);
});

it('says beside the exchange that earlier scans keep their numbers, where there are any', async () => {
  const said = /Either changes this scan alone; the earlier scan keeps the numbers it has/;
  for (const earlier of [[], ['one']] as unknown as ReturnType<CaseController['earlier']>[]) {
    const { state, client } = await openUpper();
    const segment = client.segment.bind(client);
    const warnings = [{ code: 'NUMBERS_MIRRORED', tooth: null, teeth: [], sentence: 'The wrong way round.' }];
    vi.spyOn(client, 'segment').mockImplementation(async (...asked) => ({
      ...(await segment(...asked)),
      warnings,
    }));
    vi.spyOn(state.controller, 'earlier').mockReturnValue(earlier);
    state.controller.addClicks([17, 16, 21].map((tooth) => ({ tooth, point: at(tooth) })));
    await screen.findByRole('button', { name: 'Exchange right and left' });
    expect(screen.queryAllByText(said)).toHaveLength(earlier.length);
    cleanup();
  }
});

it('gives numbers in arch order and asks where it is not sure; the answer renumbers the tooth', async () => {
  const { state } = await openUpper();
  placeClick(state, at(0));
  const first = clickedTeeth(state.controller.inputs())[0];
  expect(first).toBe(17);
  state.worksheet.setQuestion({
    tooth: 17,
    click: state.controller.inputs().clicks[0]!,
    teeth: [17],
    sentence: 'Is this the first tooth of the row?',
  });
  const question = screen.getByText('Is this the first tooth of the row?').closest<HTMLElement>('.question');
  const select = within(question as HTMLElement).getByRole('combobox');
  fireEvent.change(select, { target: { value: '18' } });
  expect(clickedTeeth(state.controller.inputs())).toEqual([18]);
  expect(state.worksheet.question()).toBeNull();
});

it('a question goes when the click that it is about is undone, though the tooth has others', async () => {
  const { state } = await openUpper();
  placeClick(state, at(0));
  state.controller.addClick({ tooth: 17, point: [1, 0, 0] });
  const click = state.controller.inputs().clicks[1]!;
  state.worksheet.setQuestion({ tooth: 17, click, teeth: [17], sentence: 'Which?' });
  expect(screen.getByText('Which?')).toBeTruthy();
  state.controller.undo();
  expect(clickedTeeth(state.controller.inputs())).toEqual([17]);
  expect(state.worksheet.question()).toBeNull();
});

it('sends the next click where the strip says, once', async () => {
  const { state } = await openUpper();
  fireEvent.click(screen.getByRole('button', { name: '23, not clicked' }));
  placeClick(state, at(0));
  expect(clickedTeeth(state.controller.inputs())).toEqual([23]);
  expect(state.worksheet.nextTooth()).toBeNull();
  expect(screen.getByRole('button', { name: '23, clicked' })).toBeTruthy();
});

it('asks about a number that was left out, and marks it as missing', async () => {
  const { state } = await openUpper();
  for (const tooth of [16, 14]) state.controller.addClick({ tooth, point: at(tooth) });
  fireEvent.click(screen.getByRole('button', { name: '15 is missing' }));
  expect(state.controller.inputs().missing).toEqual([15]);
  expect(screen.queryByRole('button', { name: '15 is missing' })).toBeNull();
  expect(screen.getByText('2 teeth, 1 missing')).toBeTruthy();
});

it('clicks gum only in its mode', async () => {
  const { state } = await openUpper();
  fireEvent.click(screen.getByRole('radio', { name: 'Click gum' }));
  placeClick(state, at(3));
  expect(state.controller.inputs().clicks).toEqual([{ tooth: 'gum', point: at(3) }]);
  fireEvent.click(screen.getByRole('radio', { name: 'Only look' }));
  placeClick(state, at(4));
  expect(state.controller.inputs().clicks).toHaveLength(1);
});

it('tells why a click was taken back', async () => {
  const { state, client } = await openUpper();
  client.failNext('segment', inputError('CLICK_OFF_SURFACE', 'The click lies off the surface.'));
  placeClick(state, at(0));
  await waitFor(() =>
    expect(screen.getByRole('alert').textContent).toContain('The click lies off the surface.'),
  );
  expect(state.controller.inputs().clicks).toEqual([]);
});

it('asks whether numbers are one off, and renumbers only when told to, as one step', async () => {
  const { state, client } = await openUpper();
  const segment = client.segment.bind(client);
  vi.spyOn(client, 'segment').mockImplementation(async (scanId, clicks, watch) => {
    const renumber = [
      { from: 18, to: 17 },
      { from: 17, to: 16 },
    ];
    const isOneOff = clicks.clicks.some(({ tooth }) => tooth === 18);
    const sentence = 'By their widths 18, 17 look like 17, 16.';
    const warning = { code: 'NUMBERS_ONE_OFF', tooth: 18, teeth: [18, 17, 16], renumber, sentence };
    return { ...(await segment(scanId, clicks, watch)), warnings: isOneOff ? [warning] : [] };
  });
  state.controller.addClicks([18, 17].map((tooth) => ({ tooth, point: at(tooth) })));
  const answer = await screen.findByRole('button', { name: 'Renumber them so' });
  expect(clickedTeeth(state.controller.inputs())).toEqual([18, 17]);
  fireEvent.click(answer);
  expect(clickedTeeth(state.controller.inputs())).toEqual([17, 16]);
  await waitFor(() => expect(screen.queryByText(/By their widths/)).toBeNull());
  state.controller.undo();
  expect(clickedTeeth(state.controller.inputs())).toEqual([18, 17]);
});

it('clears all clicks, keeps the scan, and undo brings them back', async () => {
  const { state } = await openUpper();
  for (const tooth of [12, 11]) state.controller.addClick({ tooth, point: at(tooth) });
  fireEvent.click(screen.getByRole('button', { name: 'Clear all clicks' }));
  expect(state.controller.inputs().clicks).toEqual([]);
  expect(state.controller.open()).not.toBeNull();
  state.controller.undo();
  expect(clickedTeeth(state.controller.inputs())).toEqual([12, 11]);
});

it('names the teeth without a click beside the count, and calls none missing that may not be', async () => {
  const { state } = renderWithApp(() => <TeethSection />);
  const { controller, worksheet } = state;
  await controller.openDemo();
  worksheet.setOpen('teeth', true);
  const line = () => document.querySelector('.sheet-state')?.textContent;
  expect(line()).toBe('4 teeth, none missing');
  controller.change((inputs) => withoutTooth(inputs, 12));
  expect(line()).toBe('3 teeth, 12 not clicked');
  expect(screen.getByText(/12 lies between clicked teeth but is not clicked/).textContent).toContain(
    'Until you click it or say what is missing, its place is taken for the site of a missing tooth.',
  );
  controller.change((inputs) => withMissing(inputs, 12, true));
  expect(line()).toBe('3 teeth, 1 missing');
});
