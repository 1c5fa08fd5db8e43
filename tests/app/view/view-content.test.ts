// @vitest-environment node
import { describe, expect, it } from 'vitest';
import {
  contactPlace,
  fitMarksShown,
  jawShown,
  motionsShown,
  numberPlaces,
  sameWords,
  type ViewContent,
} from '../../../src/app/view/view-content.ts';
import type { Contact } from '../../../src/contacts/types.ts';
import type { ToothRecord } from '../../../src/teeth/types.ts';

const record = (tooth: number, x: number): ToothRecord => ({
  tooth,
  centre: [x, 0, 0],
  mesiodistalMm: null,
  buccolingualMm: null,
  crownHeightMm: null,
  areaMm2: 1,
  fixed: false,
});
const content: ViewContent = {
  scan: null,
  labels: null,
  clicks: [],
  proposals: [],
  teeth: [],
  contacts: [],
  selected: null,
  motions: null,
  motionScale: 0,
  frame: { origin: [0, 0, 0], x: [1, 0, 0], y: [0, 1, 0], z: [0, 0, 1] },
  mode: 'look',
  numbering: 'iso',
  scanColours: false,
  showsRestoration: true,
};
const move = { tooth: 11, mesialMm: 0, buccalMm: 0, rotationRad: 0.1, dxMm: 0.2, dyMm: 0 };

describe('jawShown', () => {
  it('reads the jaw from any tooth number there is', () => {
    expect(jawShown(content)).toBe('upper');
    expect(jawShown({ ...content, teeth: [record(36, 0)] })).toBe('lower');
    expect(
      jawShown({
        ...content,
        clicks: [
          { tooth: 'gum', point: [0, 0, 0] },
          { tooth: 41, point: [0, 0, 0] },
        ],
      }),
    ).toBe('lower');
  });
});

describe('motionsShown', () => {
  const moving = {
    ...content,
    teeth: [record(11, 5)],
    motions: [move, { ...move, tooth: 12 }],
    motionScale: 0.5,
  };

  it('moves the teeth that are known, by the share that is shown', () => {
    const shown = motionsShown(moving);
    expect([...shown.keys()]).toEqual([11]);
    expect(shown.get(11)).toEqual({ centre: [5, 0, 0], axis: [0, 0, 1], shift: [0.1, 0, 0], angleRad: 0.05 });
  });

  it('moves nothing at the start of the slider, without a plan, and without a frame', () => {
    expect(motionsShown({ ...moving, motionScale: 0 }).size).toBe(0);
    expect(motionsShown({ ...moving, motions: null }).size).toBe(0);
    expect(motionsShown({ ...moving, frame: null }).size).toBe(0);
  });
});

describe('numberPlaces', () => {
  it('stands above the first click of a tooth while the crowns are unknown, and not at gum clicks', () => {
    const places = numberPlaces({
      ...content,
      clicks: [
        { tooth: 11, point: [1, 2, 3] },
        { tooth: 'gum', point: [9, 9, 9] },
        { tooth: 11, point: [4, 4, 4] },
      ],
    });
    expect(places).toHaveLength(1);
    expect(places[0]).toMatchObject({ tooth: 11, at: [1, 2, 3], samples: [[1, 2, 3]] });
    expect(places[0]!.raisedPx).toBeGreaterThan(10);
  });
});

describe('contactPlace', () => {
  const at = (pointA: Contact['pointA'], pointB: Contact['pointB']) =>
    contactPlace({ pointA, pointB } as Contact);

  it('is the middle of the two points, one of them, or nowhere', () => {
    expect(at([0, 0, 0], [1, 2, 4])).toEqual([0.5, 1, 2]);
    expect(at(null, [1, 2, 4])).toEqual([1, 2, 4]);
    expect(at(null, null)).toBeNull();
  });
});

describe('fitMarksShown', () => {
  const fitMarks = [{ tooth: 11, at: [0, 0, 0], status: 'open', words: 'mesial: open' }] as const;

  it('gives the contacts of a restoration while it is shown, and the very same nothing else', () => {
    expect(fitMarksShown({ ...content, fitMarks })).toBe(fitMarks);
    const hidden = fitMarksShown({ ...content, fitMarks, showsRestoration: false });
    expect(hidden).toEqual([]);
    expect(fitMarksShown(content)).toBe(hidden);
  });

  it('are words that have a place at once', () => {
    expect(sameWords(content, { ...content })).toBe(true);
    expect(sameWords(content, { ...content, fitMarks })).toBe(false);
    expect(sameWords(content, { ...content, showsRestoration: false })).toBe(false);
  });
});
