// @vitest-environment jsdom
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { makeOverlay } from '../../../src/app/view/overlay.ts';
import type { Overlay, OverlayContent, Projection } from '../../../src/app/view/overlay-types.ts';
import type { Contact } from '../../../src/contacts/types.ts';

const contact = (toothA: number, toothB: number, more: Partial<Contact>): Contact => ({
  toothA,
  toothB,
  status: 'bridged',
  gap: null,
  upperBoundMm: 0.27,
  nearestMm: null,
  clearanceMm: null,
  bridge: 'full',
  bridgeHeightMm: null,
  bridgeWidthMm: null,
  pointA: [0, 0, 0],
  pointB: [0, 0, 0],
  closingDirection: [1, 0, 0],
  heightMm: null,
  slipMm: null,
  limitMm: 0.1,
  notes: [],
  ...more,
});

const content: OverlayContent = {
  clicks: [
    { tooth: 11, point: [-4, 0, 0] },
    { tooth: 'gum', point: [4, 8, 0] },
  ],
  proposals: [{ tooth: 21, point: [4, 0, 0], confidence: 0.3 }],
  numbers: [
    { tooth: 11, at: [-4, 5, 0], raisedPx: 0, samples: [[-4, 0, 0]] },
    { tooth: 21, at: [4, 5, 0], raisedPx: 0, samples: [[99, 0, 0]] },
  ],
  teeth: [
    {
      tooth: 11,
      centre: [-4, 0, 0],
      mesiodistalMm: null,
      buccolingualMm: null,
      crownHeightMm: null,
      areaMm2: 1,
      fixed: true,
    },
  ],
  contacts: [
    contact(12, 11, {}),
    contact(11, 21, {
      status: 'open',
      gap: { valueMm: 0.31, u95Mm: 0.055, basis: 'patch', terms: [] },
      pointA: [-0.155, 0, 0],
      pointB: [0.155, 0, 0],
    }),
    contact(21, 22, { pointA: null, pointB: null }),
  ],
  selected: '11-21',
  fitMarks: [],
  numbering: 'iso',
  editable: true,
  simulated: false,
};

/** 10 px per mm, origin in the middle of 400 x 300; what lies beyond x = 50 mm is hidden. */
const projection: Projection = {
  width: 400,
  height: 300,
  pxPerMm: 10,
  project: ([x, y]) => ({ x: 200 + 10 * x, y: 150 - 10 * y }),
  visible: ([x]) => x < 50,
  moved: (tooth, p) => (tooth === 11 ? [p[0] + 1, p[1], p[2]] : p),
};

let host: HTMLDivElement;
let overlay: Overlay;
const actions = {
  select: vi.fn(),
  removeClick: vi.fn(),
  dragPin: vi.fn(),
  dropPin: vi.fn(),
  cancelDrag: vi.fn(),
  nudgePin: vi.fn(),
  acceptProposal: vi.fn(),
  dragProposal: vi.fn(),
  dropProposal: vi.fn(),
};

beforeEach(() => {
  vi.clearAllMocks();
  host = document.createElement('div');
  document.body.append(host);
  overlay = makeOverlay(host, actions);
  overlay.setContent(content);
  overlay.place(projection);
});
afterEach(() => {
  overlay.dispose();
  host.remove();
});

const named = (name: RegExp): HTMLButtonElement =>
  [...host.querySelectorAll('button')].find((b) => name.test(b.getAttribute('aria-label') ?? ''))!;
const press = (element: HTMLElement, key: string): void => {
  element.dispatchEvent(new KeyboardEvent('keydown', { key, bubbles: true, cancelable: true }));
};

describe('makeOverlay', () => {
  it('names pins and contacts in words', () => {
    expect(named(/tooth 11/)).toBeDefined();
    expect(named(/Click on gum/)).toBeDefined();
    expect(named(/11-21 open, 0\.31 ± 0\.06 mm/)).toBeDefined();
    expect(named(/12-11 bridged, 0 to 0\.27 mm could hide here/)).toBeDefined();
  });

  it('gives a contact without a place no mark', () => {
    expect(named(/21-22/)).toBeUndefined();
  });

  it('marks where a restoration meets its neighbours, for eyes and readers, and fades the contacts it stands in for', () => {
    const fits = () => [...host.querySelectorAll<HTMLElement>('.scan-view-mark-fit')];
    const faded = () =>
      [...host.querySelectorAll('.replaced')].map((mark) => mark.getAttribute('aria-label'));
    const mark = { tooth: 12, status: 'closed', words: 'mesial against 11: as wanted' } as const;
    const fitMarks = [
      { ...mark, at: [2, 1, 0] },
      { ...mark, at: [60, 0, 0] },
    ] as const;
    expect([fits().length, faded()]).toEqual([0, []]);
    overlay.setContent({ ...content, fitMarks });
    overlay.place(projection);
    expect(fits()[0]!.style.transform).toContain('translate(220.0px, 140.0px)');
    expect(fits().map(({ classList }) => classList.contains('behind'))).toEqual([false, true]);
    expect([fits()[0]!.getAttribute('role'), fits()[0]!.getAttribute('aria-label')]).toEqual([
      'img',
      'Restoration, mesial against 11: as wanted',
    ]);
    // Of 11-21 the scan shows what one sees.
    expect(faded()).toEqual([expect.stringContaining('12-11')]);
    overlay.setContent({ ...content, fitMarks: [] });
    expect([fits().length, faded()]).toEqual([0, []]);
  });

  it('puts a pin where its click is seen, moved with its crown', () => {
    expect(named(/tooth 11/).style.transform).toContain('translate(170.0px, 150.0px)');
  });

  it('writes a number only while its crown is in sight, and marks fixed teeth', () => {
    const numbers = [...host.querySelectorAll<HTMLElement>('.scan-view-number')];
    expect(numbers.map((n) => [n.textContent, n.hidden])).toEqual([
      ['11', false],
      ['21', true],
    ]);
    expect(numbers[0]!.classList.contains('fixed')).toBe(true);
  });

  it('writes the chosen contact’s space, and what could hide behind a bridged one', () => {
    expect(host.querySelector('.scan-view-value')!.textContent).toBe('0.31 ± 0.06 mm');
    overlay.setContent({ ...content, selected: '12-11' });
    expect(host.querySelector('.scan-view-value')!.textContent).toBe('at most 0.27 mm');
    overlay.setContent({ ...content, selected: null });
    expect(host.querySelector<HTMLElement>('.scan-view-value')!.hidden).toBe(true);
  });

  it('draws the dimension between the two closest points, for measured contacts only', () => {
    const line = host.querySelector('.scan-view-dimension')!;
    // Tooth 11 is moved by 1 mm: from (200 - 1.55 + 10) to (200 + 1.55).
    expect(line.getAttribute('d')).toBe('M208.45 150L201.55 150');
    overlay.setContent({ ...content, selected: '12-11' });
    overlay.place(projection);
    expect(line.getAttribute('d')).toBe('');
  });

  it('selects a contact, and lets go of the chosen one', () => {
    named(/12-11/).click();
    expect(actions.select).toHaveBeenLastCalledWith('12-11');
    named(/11-21/).click();
    expect(actions.select).toHaveBeenLastCalledWith(null);
  });

  it('moves and removes a pin by keyboard', () => {
    press(named(/Click on tooth 11/), 'ArrowLeft');
    expect(actions.nudgePin).toHaveBeenCalledWith(0, -2, 0);
    press(named(/gum/), 'Delete');
    expect(actions.removeClick).toHaveBeenCalledWith(1);
  });

  it('has one stop of the Tab key per group', () => {
    const stops = [...host.querySelectorAll<HTMLElement>('[role="group"]')].map(
      (g) => [...g.querySelectorAll('button')].filter((b) => b.tabIndex === 0).length,
    );
    expect(stops).toEqual([1, 1, 1]);
    press(named(/12-11/), 'ArrowRight');
    expect(document.activeElement).toBe(named(/11-21/));
    expect(named(/11-21/).tabIndex).toBe(0);
    expect(named(/12-11/).tabIndex).toBe(-1);
  });

  it('shows proposals apart from clicks, and accepts one by a press', () => {
    const pin = named(/Proposed place of tooth 21, not sure/);
    expect(pin.textContent).toBe('21?');
    expect(pin.classList.contains('scan-view-pin')).toBe(false);
    expect(pin.style.transform).toContain('translate(240.0px, 150.0px)');
    pin.click();
    expect(actions.acceptProposal).toHaveBeenCalledExactlyOnceWith(21);
  });

  it('draws a painted stroke as one button and dots, and removes it through the button', () => {
    const stroke = [0, 0.5, 1, 1.5].map((x) => ({ tooth: 11, point: [x, 3, 0] as const }));
    overlay.setContent({ ...content, clicks: [...content.clicks, ...stroke] });
    overlay.place(projection);
    expect(host.querySelectorAll('span.scan-view-stroke')).toHaveLength(3);
    const handle = named(/Painted stroke of 4 points for tooth 11/);
    press(handle, 'ArrowLeft');
    expect(actions.nudgePin).not.toHaveBeenCalled();
    press(handle, 'Delete');
    expect(actions.removeClick).toHaveBeenCalledWith(2);
  });

  it('only shows pins while the scan is just looked at', () => {
    overlay.setContent({ ...content, editable: false });
    expect([...host.querySelectorAll<HTMLButtonElement>('.scan-view-pin')].every((p) => p.disabled)).toBe(
      true,
    );
  });

  it('marks itself while the stages are played, so that the style sheet hides what was measured before', () => {
    const root = host.querySelector('.scan-view-overlay')!;
    expect(root.classList.contains('simulated')).toBe(false);
    overlay.setContent({ ...content, simulated: true });
    expect(root.classList.contains('simulated')).toBe(true);
  });

  it('draws a scale bar that is true', () => {
    expect(host.querySelector('.scan-view-scale-label')!.textContent).toBe('10 mm');
    expect(host.querySelector<HTMLElement>('.scan-view-scale')!.style.width).toBe('100px');
  });

  it('uses the chosen notation', () => {
    overlay.setContent({ ...content, numbering: 'universal' });
    expect(host.querySelector('.scan-view-number')!.textContent).toBe('8');
    expect(named(/8-9 open/)).toBeDefined();
  });
});
