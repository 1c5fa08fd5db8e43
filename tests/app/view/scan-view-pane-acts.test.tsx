import { render } from '@solidjs/testing-library';
import { createSignal } from 'solid-js';
import { expect, it, vi } from 'vitest';
import type { DisplayScan, RestorationOverlay } from '../../../src/app/kernel/display-types.ts';
import { ScanViewPane } from '../../../src/app/view/ScanViewPane.tsx';
import type { ViewActions } from '../../../src/app/view/scan-view.ts';
import { nextTurn } from '../../../src/geometry/next-turn.ts';
import type { Click } from '../../../src/teeth/types.ts';

/** No document here has one. */
vi.spyOn(HTMLCanvasElement.prototype, 'getContext').mockReturnValue(null);

/** In place of the view: what it was given to tell, which scans it was shown, and how each view was made. */
const given = vi.hoisted(() => ({
  actions: null as unknown,
  shown: [] as string[],
  scales: [] as number[],
  restorations: [] as unknown[],
  made: [] as unknown[],
}));
const STANDPOINT = vi.hoisted(() => ({
  pose: { target: [1, 2, 3], rotation: [0, 0, 0, 1], heightMm: 20 } as const,
  isChosen: true,
}));
vi.mock(import('../../../src/app/view/scan-view.ts'), async (original) => ({
  ...(await original()),
  makeScanView: (_host, by, actions, from) => {
    given.actions = actions;
    given.made.push([by, from]);
    actions.stateChanged('ready');
    return {
      update({ scan, motionScale, restoration, showsRestoration }) {
        given.shown.push(scan?.scanId ?? 'none');
        given.scales.push(motionScale);
        given.restorations.push([restoration, showsRestoration]);
      },
      readColours: () => {},
      standpoint: () => STANDPOINT,
      dispose: () => {},
      lookFrom: () => {},
      fit: () => {},
      turnBy: () => {},
      panBy: () => {},
      zoomBy: () => {},
      pickCentre: () => {},
    };
  },
}));

const scan = (scanId: string): DisplayScan => ({
  scanId,
  positions: new Float32Array(9),
  normals: new Float32Array(9),
  triangles: new Uint32Array(3),
  colors: null,
});

const click = (tooth: number): Click => ({ tooth, point: [tooth, 0, 0] });

interface Changing {
  readonly restoration?: () => RestorationOverlay | null;
  readonly motionScale?: () => number;
  readonly scan: () => DisplayScan;
  readonly labels: () => Uint8Array | null;
  readonly clicks: () => readonly Click[];
}

/** The pane, and what it tells: the act and, of a click, its number. */
function pane({ scan, labels, clicks, motionScale, restoration }: Changing) {
  const told: string[] = [];
  const tell = (what: string) => () => void told.push(what);
  const tellNumber = (what: string) => (index: number) => void told.push(`${what} ${index}`);
  const drawn = render(() => (
    <ScanViewPane
      scan={scan()}
      labels={labels()}
      clicks={clicks()}
      teeth={[]}
      contacts={[]}
      selected={null}
      motions={null}
      motionScale={motionScale?.() ?? 0}
      restoration={restoration?.() ?? null}
      frame={null}
      mode="click-tooth"
      numbering="iso"
      onPick={tell('pick')}
      onSelectContact={tell('select')}
      onMoveClick={tellNumber('move')}
      onRemoveClick={tellNumber('remove')}
      proposals={[]}
      onAcceptProposal={tell('accept')}
      onPlaceProposal={tell('place')}
      onPaint={tell('paint')}
    />
  ));
  return { told, ...drawn };
}

/** The view is made in a turn of its own, and shown what there is after the frame. */
async function firstPicture(): Promise<void> {
  await nextTurn();
  await nextTurn();
  await vi.runAllTimersAsync();
}

it('a click on the scan that was there before is not taken for one on the scan that has come', async () => {
  vi.useFakeTimers();
  const [now, setNow] = createSignal(scan('old'));
  const clicks = [click(11)];
  const { told, unmount } = pane({ scan: now, labels: () => null, clicks: () => clicks });
  await firstPicture();
  const { pick, moveClick, removeClick, acceptProposal, placeProposal } = given.actions as ViewActions;
  const actAll = () => {
    pick({ point: [1, 2, 3], triangle: 0, distanceMm: 1 });
    moveClick(0, [1, 2, 3]);
    removeClick(0);
    acceptProposal(11);
    placeProposal(11, [1, 2, 3]);
  };
  actAll();
  const all = ['pick', 'move 0', 'remove 0', 'accept', 'place'];
  expect(told.splice(0)).toEqual(all);
  // Between the coming of a scan and its first picture.
  setNow(scan('new'));
  expect(given.shown.at(-1)).toBe('old');
  actAll();
  expect(told).toEqual([]);
  await vi.runAllTimersAsync();
  expect(given.shown.at(-1)).toBe('new');
  actAll();
  expect(told).toEqual(all);
  unmount();
  vi.useRealTimers();
});

it('a click on a picture that is one click behind still counts, and a pin is known by what it stands for', async () => {
  vi.useFakeTimers();
  const [labels, setLabels] = createSignal<Uint8Array | null>(null);
  const [clicks, setClicks] = createSignal<readonly Click[]>([click(11), click(12)]);
  const only = scan('only');
  const { told, container, unmount } = pane({ scan: () => only, labels, clicks });
  const missed = () => container.querySelector('.scan-view-missed[role="status"]')!.textContent;
  await firstPicture();
  const { pick, moveClick, removeClick } = given.actions as ViewActions;
  const seen = given.shown.length;
  // Teeth were found, which is drawn after the next frame, and in this frame the first click was taken back.
  setLabels(new Uint8Array(1));
  setClicks((before) => before.slice(1));
  expect(given.shown).toHaveLength(seen);
  pick({ point: [1, 2, 3], triangle: 0, distanceMm: 1 });
  moveClick(1, [1, 2, 3]);
  removeClick(1);
  expect(told.splice(0)).toEqual(['pick', 'move 0', 'remove 0']);
  expect(missed()).toBe('');
  moveClick(0, [1, 2, 3]);
  expect(told).toEqual([]);
  expect(missed()).toContain('taken back in the same moment');
  unmount();
  vi.useRealTimers();
});

it('what was found is shown while crowns move faster than the page draws', async () => {
  vi.useFakeTimers();
  const [labels, setLabels] = createSignal<Uint8Array | null>(null);
  const [scale, setScale] = createSignal(0);
  const [only, clicks] = [scan('only'), [click(11)]];
  const { unmount } = pane({ scan: () => only, labels, clicks: () => clicks, motionScale: scale });
  await firstPicture();
  given.scales.splice(0);
  setLabels(new Uint8Array(1));
  for (let step = 1; step <= 10; step += 1) {
    // A frame takes 16 ms.
    await vi.advanceTimersByTimeAsync(10);
    setScale(step / 10);
  }
  // The first picture came with the frame, with what had changed until then; the others at once.
  expect(given.scales.slice(0, 2)).toEqual([0.1, 0.2]);
  expect(given.scales.at(-1)).toBe(1);
  unmount();
  vi.useRealTimers();
});

it('says that a scan is being prepared, and goes on from where it was seen when the worker that draws dies', async () => {
  vi.useFakeTimers();
  const warned = vi.spyOn(console, 'warn').mockImplementation(() => {});
  const [only, clicks] = [scan('only'), [click(11)]];
  const { container, unmount } = pane({ scan: () => only, labels: () => null, clicks: () => clicks });
  const word = () => container.querySelector('.scan-view-preparing[role="status"]')!.textContent;
  await firstPicture();
  expect(word()).toBe('');
  const { preparing, drawnNoMore } = given.actions as ViewActions;
  preparing(true);
  expect(word()).toContain('being prepared');
  given.shown.splice(0);
  drawnNoMore('killed');
  expect([given.made.at(-1), given.shown]).toEqual([['page', STANDPOINT], ['only']]);
  // Whether it prepares anything the new view says itself.
  expect(word()).toBe('');
  expect(warned).toHaveBeenCalledOnce();
  unmount();
  vi.useRealTimers();
});

it('where nothing can be drawn says why, each in its own words, and keeps no view', async () => {
  vi.useFakeTimers();
  const [only, clicks] = [scan('only'), [click(11)]];
  const said = async (state: 'unavailable' | 'failed') => {
    const { container, unmount } = pane({ scan: () => only, labels: () => null, clicks: () => clicks });
    await firstPicture();
    given.shown.splice(0);
    (given.actions as ViewActions).stateChanged(state);
    const words = container.querySelector('.scan-view-message')!.textContent;
    unmount();
    return words;
  };
  expect(await said('unavailable')).toContain('WebGL is missing or switched off');
  expect(await said('failed')).toContain('Load the page again');
  expect(given.shown).toEqual([]);
  vi.useRealTimers();
});

it('a restoration can be hidden; another one is shown again, and without one there is no button', async () => {
  vi.useFakeTimers();
  const surface = () => ({
    positions: new Float32Array(9),
    normals: new Float32Array(9),
    triangles: new Uint32Array(3),
  });
  const [restoration, setRestoration] = createSignal<RestorationOverlay | null>(null);
  const [one, other] = [surface(), surface()];
  const now = scan('a');
  const { queryByRole, unmount } = pane({
    scan: () => now,
    labels: () => null,
    clicks: () => [],
    restoration,
  });
  await firstPicture();
  const button = () => queryByRole('button', { name: 'Restoration' });
  const shown = () => given.restorations.at(-1);
  expect([button(), shown()]).toEqual([null, [null, true]]);
  setRestoration(one);
  expect([button()!.getAttribute('aria-pressed'), shown()]).toEqual(['true', [one, true]]);
  button()!.click();
  expect([button()!.getAttribute('aria-pressed'), shown()]).toEqual(['false', [one, false]]);
  setRestoration(other);
  expect([button()!.getAttribute('aria-pressed'), shown()]).toEqual(['true', [other, true]]);
  setRestoration(null);
  expect([button(), shown()]).toEqual([null, [null, true]]);
  unmount();
  vi.useRealTimers();
});
