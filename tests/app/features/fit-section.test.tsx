import { cleanup, fireEvent, screen, waitFor } from '@solidjs/testing-library';
import { afterEach, describe, expect, it } from 'vitest';
import { FitSection } from '../../../src/app/features/fit/FitSection.tsx';
import { UNCALIBRATED_SCANNER } from '../../../src/contacts/settings.ts';
import { inputError } from '../../../src/geometry/archgap-error.ts';
import { renderWithApp } from './harness.tsx';

const file = { name: 'crown 12.stl', bytes: new Uint8Array([1]) };

async function opened() {
  const { state, client } = renderWithApp(() => <FitSection />);
  await state.controller.openDemo();
  // Opening a case, and its first results, unfold other sections.
  await waitFor(() => expect(state.fit.canFit()).toBe(true));
  state.worksheet.setOpen('restoration', true);
  await screen.findByRole('button', { name: /Choose the restoration/ });
  return { state, client };
}

describe('FitSection', () => {
  afterEach(cleanup);

  it('takes the tooth from the name, says what fits, and judges again by another target', async () => {
    const { state, client } = await opened();
    state.fit.setFile(file);
    expect(await screen.findByText(/mesial against 11: too tight/i)).toBeTruthy();
    expect(screen.getByText(/^take off 0\.0?9 mm|^take off 0\.08 mm/i)).toBeTruthy();
    expect(screen.getByText(/the site of an absent one/)).toBeTruthy();
    fireEvent.change(screen.getByLabelText('tightest'), { target: { value: '-0.2' } });
    expect(await screen.findByText(/mesial against 11: as wanted/i)).toBeTruthy();
    expect(client.calls.filter((call) => call === 'fit')).toHaveLength(1);
    expect(state.fit.record()?.target).toEqual({ wideMm: 0, tightMm: -0.2 });
  });

  it('has a surface to be drawn as soon as the file is there: unmeasured, refused, and taken back', async () => {
    const { state, client } = await opened();
    const read = () => client.calls.filter((call) => call === 'readRestoration').length;
    state.fit.setFile({ name: 'design.stl', bytes: new Uint8Array([9]) });
    expect(state.fit.surface()).toBeNull();
    await waitFor(() => expect(state.fit.surface()?.triangles).toHaveLength(3));
    expect(state.fit.sides()).toBeNull();
    // Another tooth is no other surface.
    client.failNext('fit', inputError('RESTORATION_ELSEWHERE', 'The restoration lies elsewhere.'));
    state.fit.setTooth(12);
    await screen.findByRole('alert');
    expect([state.fit.surface() === null, read()]).toEqual([false, 1]);
    state.fit.setFile(null);
    expect(state.fit.surface()).toBeNull();
    state.controller.undo();
    await waitFor(() => expect(state.fit.surface()).not.toBeNull());
    expect(read()).toBe(2);
    await state.controller.openDemo();
    expect(state.fit.surface()).toBeNull();
  });

  it('tells a file that cannot be read once, said before or after its tooth', async () => {
    const { state, client } = await opened();
    const unread = inputError('SCAN_EMPTY', 'The file is empty.');
    client.failNext('readRestoration', unread);
    state.fit.setFile({ name: 'design.stl', bytes: new Uint8Array([9]) });
    expect((await screen.findByRole('alert')).textContent).toContain('is empty');
    expect(state.fit.surface()).toBeNull();
    client.failNext('fit', unread);
    state.fit.setTooth(12);
    await waitFor(() => expect(state.fit.job.state().kind).toBe('failed'));
    expect(screen.getAllByRole('alert')).toHaveLength(1);
  });

  it('tells a refusal and can try again', async () => {
    const { state, client } = await opened();
    client.failNext('fit', inputError('RESTORATION_ELSEWHERE', 'The restoration lies elsewhere.'));
    state.fit.setFile(file);
    expect((await screen.findByRole('alert')).textContent).toContain('lies elsewhere');
    fireEvent.click(screen.getByRole('button', { name: /Hold it against/ }));
    expect(await screen.findByText(/mesial against 11/i)).toBeTruthy();
  });

  it('says that a fit is old once the scanner changed, writes no files of it, and measures again', async () => {
    const { state, client } = await opened();
    state.fit.setFile(file);
    await screen.findByText(/mesial against 11/i);
    expect(state.fit.record()).not.toBeNull();
    expect(state.fit.marks().map(({ tooth, status }) => [tooth, status])).toEqual([[12, 'overlap']]);
    const scanner = { ...UNCALIBRATED_SCANNER, name: 'bench scanner', wavinessMm: 0.02 };
    state.controller.change((inputs) => ({ ...inputs, scanner }), 'scanner');
    expect([state.fit.isOld(), state.fit.record(), state.fit.marks()]).toEqual([true, null, []]);
    expect(await screen.findByText(/these figures belong to what was before/)).toBeTruthy();
    expect(screen.queryByText('fit.csv')).toBeNull();
    await waitFor(() => expect(state.fit.canFit()).toBe(true));
    fireEvent.click(screen.getByRole('button', { name: 'Measure again' }));
    await waitFor(() => expect(state.fit.isOld()).toBe(false));
    expect(client.calls.filter((call) => call === 'fit')).toHaveLength(2);
    expect(screen.getByText('fit.csv')).toBeTruthy();
  });

  it('asks for the tooth of another restoration whose name does not say it, and measures nothing before', async () => {
    const { state, client } = await opened();
    state.fit.setFile(file);
    await screen.findByText(/mesial against 11/i);
    const tooth = state.fit.tooth();
    state.fit.setFile({ ...file, bytes: file.bytes.slice() });
    await screen.findByText(/mesial against 11/i);
    expect(state.fit.tooth()).toBe(tooth);
    const before = client.calls.filter((call) => call === 'fit').length;
    state.fit.setFile({ name: 'another.stl', bytes: new Uint8Array([9]) });
    expect([state.fit.tooth(), state.fit.sides()]).toEqual([null, null]);
    expect(client.calls.filter((call) => call === 'fit')).toHaveLength(before);
  });

  it('keeps the tooth that was said before its file', async () => {
    const { state } = await opened();
    state.fit.setTooth(12);
    state.fit.setFile({ name: 'design.stl', bytes: new Uint8Array([9]) });
    expect(state.fit.tooth()).toBe(12);
    expect(await screen.findByText(/mesial against 11/i)).toBeTruthy();
  });

  it('takes back and brings back file, tooth and target', async () => {
    const { state } = await opened();
    const { undo, redo } = state.controller;
    const seen = () => [state.fit.file()?.name ?? null, state.fit.tooth(), state.fit.target().tightMm];
    state.fit.setFile(file);
    state.fit.setTooth(11);
    for (const tightMm of [-0.1, -0.2]) state.fit.setTarget({ wideMm: 0, tightMm });
    const steps = [
      [null, null, -0.03],
      [file.name, 12, -0.03],
      [file.name, 11, -0.03],
      [file.name, 11, -0.2],
    ];
    expect(seen()).toEqual(steps[3]);
    for (const step of [2, 1, 0]) {
      undo();
      expect(seen()).toEqual(steps[step]);
    }
    expect(state.fit.sides()).toBeNull();
    for (const step of [1, 2, 3]) {
      redo();
      expect(seen()).toEqual(steps[step]);
    }
    // Held against its neighbours again, and never part of what is saved.
    expect(await screen.findByText(/mesial against/i)).toBeTruthy();
    expect(state.controller.kept()?.content.arches[0].inputs).not.toHaveProperty('restoration');
    expect(JSON.stringify(state.controller.kept()?.steps)).not.toContain(file.name);
  });

  it('lets go of the restoration with the case', async () => {
    const { state } = await opened();
    state.fit.setFile(file);
    await screen.findByText(/mesial against 11/i);
    await state.controller.openDemo();
    expect([state.fit.file(), state.fit.sides(), state.fit.tooth()]).toEqual([null, null, null]);
  });
});
