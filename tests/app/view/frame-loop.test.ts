import { afterEach, beforeEach, expect, it, vi } from 'vitest';
import { makeFrameLoop } from '../../../src/app/view/frame-loop.ts';
import { holdFrames, showPage } from './page-frames.ts';

beforeEach(() => {
  holdFrames();
});
afterEach(() => {
  vi.unstubAllGlobals();
});

function loop() {
  const told: string[] = [];
  const flight = { steps: 0 };
  const frames = makeFrameLoop({
    advance: () => flight.steps-- > 0,
    ask: () => told.push('ask'),
    show: () => told.push('show'),
    place: () => told.push('place'),
  });
  const heard = (): string => told.splice(0).join(' ');
  return { frames, flight, heard };
}

it('asks once for however many changes there are before the page is shown, and places the words with the picture', () => {
  const { frames, heard } = loop();
  frames.request();
  showPage();
  frames.drawn();
  heard();
  frames.request();
  frames.request();
  expect(heard()).toBe('');
  showPage();
  expect(heard()).toBe('ask');
  frames.drawn();
  expect(heard()).toBe('show place');
  showPage();
  expect(heard()).toBe('');
});

it('places the words at once until there is a first picture', () => {
  const { frames, heard } = loop();
  frames.request();
  showPage();
  expect(heard()).toBe('ask show place');
  frames.request();
  showPage();
  expect(heard()).toBe('ask show place');
});

it('asks for the next picture when the last one is there, and only if something changed', () => {
  const { frames, heard } = loop();
  frames.request();
  showPage();
  frames.drawn();
  frames.request();
  showPage();
  heard();
  frames.request();
  showPage();
  frames.now();
  expect(heard()).toBe('');
  frames.drawn();
  expect(heard()).toBe('show place');
  showPage();
  expect(heard()).toBe('ask');
  frames.drawn();
  showPage();
  expect(heard()).toBe('show place');
});

it('goes on by itself while something moves, with pictures and without', () => {
  const { frames, flight, heard } = loop();
  flight.steps = 2;
  frames.request();
  showPage();
  showPage();
  showPage();
  showPage();
  expect(heard()).toBe('ask show place ask show place ask show place');
  frames.drawn();
  heard();
  flight.steps = 1;
  frames.now();
  frames.drawn();
  showPage();
  frames.drawn();
  showPage();
  expect(heard()).toBe('ask show place ask show place');
});

it('goes on by itself where the page draws, whose picture is there before asking for it has returned', () => {
  const told: string[] = [];
  let steps = 0;
  let isDrawn = false;
  const frames = makeFrameLoop({
    advance: () => steps-- > 0,
    ask() {
      told.push('ask');
      if (isDrawn) frames.drawn();
    },
    show: () => told.push('show'),
    place: () => told.push('place'),
  });
  frames.request();
  showPage();
  frames.drawn();
  isDrawn = true;
  told.length = 0;
  steps = 2;
  frames.request();
  for (let k = 0; k < 5; k++) showPage();
  expect(told.join(' ')).toBe('ask show place ask show place ask show place');
});

it('asks for nothing once it is stopped', () => {
  const { frames, heard } = loop();
  frames.request();
  frames.stop();
  showPage();
  expect(heard()).toBe('');
});

it('places new words before the page is shown, without a picture and whatever is being drawn', () => {
  const { frames, heard } = loop();
  frames.request();
  showPage();
  frames.drawn();
  heard();
  frames.words();
  frames.words();
  expect(heard()).toBe('');
  showPage();
  expect(heard()).toBe('place');
  showPage();
  expect(heard()).toBe('');
  frames.request();
  showPage();
  frames.words();
  frames.request();
  expect(heard()).toBe('ask');
  showPage();
  expect(heard()).toBe('place');
  frames.drawn();
  showPage();
  expect(heard()).toBe('show place ask');
});
