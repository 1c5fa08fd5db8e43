import { cleanup, fireEvent, screen, waitFor } from '@solidjs/testing-library';
import { afterEach, describe, expect, it } from 'vitest';
import { paintPiece } from '../../../src/app/features/teeth/paint-piece.ts';
import { placeClick } from '../../../src/app/features/teeth/place-click.ts';
import { TeethSection } from '../../../src/app/features/teeth/TeethSection.tsx';
import { clickedTeeth } from '../../../src/app/kernel/case-inputs.ts';
import type { Vec3 } from '../../../src/geometry/types.ts';
import { renderWithApp } from './harness.tsx';

afterEach(cleanup);

const scanFile = () => ({ name: 'upper.stl', bytes: new Uint8Array([1, 2, 3]) });
const at = (x: number): Vec3 => [x, 0, 0];

/** An upper scan with 13 and 12 clicked where the fake client would propose them. */
async function openWithTwo() {
  const app = renderWithApp(() => <TeethSection />);
  const { controller } = app.state;
  await controller.openFiles([scanFile()]);
  fireEvent.click(screen.getByRole('radio', { name: 'Upper' }));
  controller.addClick({ tooth: 13, point: at(0) });
  controller.addClick({ tooth: 12, point: at(8) });
  return app;
}
const proposed = (sentence = /4 places proposed \(11, 21, 22 and 23\): accept all, or click on/) =>
  screen.findByText(sentence);

describe('help with the clicks', () => {
  it('proposes after two clicks, and nothing becomes a click by itself', async () => {
    const { state } = await openWithTwo();
    await proposed();
    expect(state.controller.inputs().clicks).toHaveLength(2);
    expect(state.clickHelp.proposals()).toHaveLength(4);
  });

  it('accepts all in one step that undo takes back', async () => {
    const { state } = await openWithTwo();
    await proposed();
    fireEvent.click(screen.getByRole('button', { name: /Accept all/ }));
    expect(clickedTeeth(state.controller.inputs())).toEqual([13, 12, 11, 21, 22, 23]);
    expect(screen.queryByRole('button', { name: /Accept all/ })).toBeNull();
    state.controller.undo();
    expect(clickedTeeth(state.controller.inputs())).toEqual([13, 12]);
  });

  it('accepts one, corrects one, and keeps the rest without asking the worker again', async () => {
    const { state, client } = await openWithTwo();
    await proposed();
    const asked = () => client.calls.filter((call) => call === 'proposeClicks').length;
    const before = asked();
    state.clickHelp.accept(11);
    state.clickHelp.place(21, at(24.8));
    expect(clickedTeeth(state.controller.inputs())).toEqual([13, 12, 11, 21]);
    expect(state.controller.inputs().clicks.at(-1)?.point).toEqual(at(24.8));
    await proposed(/2 places proposed \(22 and 23\)/);
    await new Promise((resolve) => setTimeout(resolve, 300));
    expect(asked()).toBe(before);
  });

  it('gives a click beside a proposed place its number without a question', async () => {
    const { state } = await openWithTwo();
    await proposed();
    placeClick(state, at(33));
    expect(clickedTeeth(state.controller.inputs())).toContain(22);
    expect(state.worksheet.question()).toBeNull();
  });

  it('is taken off until the next click, and switched off for good', async () => {
    const { state } = await openWithTwo();
    await proposed();
    fireEvent.click(screen.getByRole('button', { name: /Take them off/ }));
    expect(state.clickHelp.proposals()).toEqual([]);
    state.controller.addClick({ tooth: 11, point: at(16) });
    await proposed(/3 places proposed/);
    fireEvent.click(screen.getByRole('checkbox', { name: /Propose the other places/ }));
    expect(state.clickHelp.proposals()).toEqual([]);
    expect(state.preferences.clickHelp()).toBe(false);
  });

  it('is not offered while the scan is only looked at', async () => {
    const { state } = await openWithTwo();
    await proposed();
    state.worksheet.setMode('look');
    expect(state.clickHelp.proposals()).toEqual([]);
  });

  it('asks which premolar is missing, and marks the one that is named', async () => {
    const { state } = await openWithTwo();
    state.controller.addClick({ tooth: 17, point: at(-30) });
    await screen.findByText(/no crown for 14 or 15/);
    fireEvent.click(screen.getByRole('button', { name: '14 is missing' }));
    expect(state.controller.inputs().missing).toEqual([14]);
    await waitFor(() => expect(screen.queryByText(/no crown for/)).toBeNull());
  });
});

describe('painting', () => {
  async function openPainting() {
    const app = await openWithTwo();
    fireEvent.click(screen.getByRole('radio', { name: 'Paint' }));
    return app;
  }
  const piece = (stroke: number, beganOn: number | null, ...xs: number[]) => ({
    stroke,
    beganOn,
    points: xs.map(at),
  });

  it('carries on what a stroke begins on, and undo takes the whole stroke', async () => {
    const { state } = await openPainting();
    paintPiece(state, piece(1, 12, 8, 8.5));
    paintPiece(state, piece(1, 12, 9));
    expect(
      state.controller
        .inputs()
        .clicks.slice(2)
        .map((click) => click.tooth),
    ).toEqual([12, 12, 12]);
    paintPiece(state, piece(2, 0, 20, 20.5));
    expect(
      state.controller
        .inputs()
        .clicks.slice(5)
        .map((click) => click.tooth),
    ).toEqual(['gum', 'gum']);
    state.controller.undo();
    expect(state.controller.inputs().clicks).toHaveLength(5);
    state.controller.undo();
    expect(state.controller.inputs().clicks).toHaveLength(2);
    state.controller.redo();
    expect(state.controller.inputs().clicks).toHaveLength(5);
  });

  it('paints what is chosen; a newer stroke replaces an older one under it, never a first click', async () => {
    const { state } = await openPainting();
    state.worksheet.setBrush('gum');
    paintPiece(state, piece(1, 12, 3, 3.5, 4));
    state.worksheet.setBrush(13);
    paintPiece(state, piece(2, 0, 4, 4.4));
    const { clicks } = state.controller.inputs();
    expect(clicks.map((click) => [click.tooth, click.point[0]])).toEqual([
      [13, 0],
      [12, 8],
      ['gum', 3],
      ['gum', 3.5],
      [13, 4],
      [13, 4.4],
    ]);
  });

  it('erases corrections but no first click', async () => {
    const { state } = await openPainting();
    paintPiece(state, piece(1, 13, 0.5, 1, 6));
    state.worksheet.setBrush('erase');
    paintPiece(state, piece(2, 13, 0.4));
    expect(state.controller.inputs().clicks.map((click) => click.point[0])).toEqual([0, 8, 6]);
  });

  it('survives later clicks and does nothing outside its mode', async () => {
    const { state } = await openPainting();
    paintPiece(state, piece(1, 12, 8, 8.5));
    state.worksheet.setMode('click-tooth');
    placeClick(state, at(16));
    expect(state.controller.inputs().clicks.filter((click) => click.tooth === 12)).toHaveLength(3);
    paintPiece(state, piece(2, 12, 9));
    expect(state.controller.inputs().clicks.filter((click) => click.tooth === 12)).toHaveLength(3);
  });
});
