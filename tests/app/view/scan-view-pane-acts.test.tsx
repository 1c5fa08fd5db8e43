import { render } from '@solidjs/testing-library';
import { createSignal } from 'solid-js';
import { expect, it, vi } from 'vitest';
import type { DisplayScan } from '../../../src/app/kernel/display-types.ts';
import { ScanViewPane } from '../../../src/app/view/ScanViewPane.tsx';
import type { ViewActions } from '../../../src/app/view/scan-view.ts';

/** In place of the view: what it was given to tell, and which scans it was shown. */
const given = vi.hoisted(() => ({ actions: null as unknown, shown: [] as string[] }));
vi.mock(import('../../../src/app/view/scan-view.ts'), async (original) => ({
  ...(await original()),
  makeScanView: (_host, actions) => {
    given.actions = actions;
    return {
      update: ({ scan }) => void given.shown.push(scan?.scanId ?? 'none'),
      readColours: () => {},
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

it('a click on the scan that was there before is not taken for one on the scan that has come', async () => {
  vi.useFakeTimers();
  const [now, setNow] = createSignal(scan('old'));
  const told: string[] = [];
  const tell = (what: string) => () => void told.push(what);
  const { unmount } = render(() => (
    <ScanViewPane
      scan={now()}
      labels={null}
      clicks={[]}
      teeth={[]}
      contacts={[]}
      selected={null}
      motions={null}
      motionScale={0}
      frame={null}
      mode="click-tooth"
      numbering="iso"
      onPick={tell('pick')}
      onSelectContact={tell('select')}
      onMoveClick={tell('move')}
      onRemoveClick={tell('remove')}
      proposals={[]}
      onAcceptProposal={tell('accept')}
      onPlaceProposal={tell('place')}
      onPaint={tell('paint')}
    />
  ));
  await vi.runAllTimersAsync();
  const { pick, moveClick, removeClick, acceptProposal, placeProposal } = given.actions as ViewActions;
  const actAll = () => {
    pick({ point: [1, 2, 3], triangle: 0, distanceMm: 1 });
    moveClick(0, [1, 2, 3]);
    removeClick(0);
    acceptProposal(11);
    placeProposal(11, [1, 2, 3]);
  };
  actAll();
  const all = ['pick', 'move', 'remove', 'accept', 'place'];
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
