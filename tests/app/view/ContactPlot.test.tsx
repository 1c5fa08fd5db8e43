import { fireEvent, render } from '@solidjs/testing-library';
import { createSignal } from 'solid-js';
import { describe, expect, it } from 'vitest';
import { ContactPlot } from '../../../src/app/features/contacts/ContactPlot.tsx';
import { fitPlotLabels } from '../../../src/app/features/contacts/fit-plot-labels.ts';
import type { ContactKey } from '../../../src/app/kernel/display-types.ts';
import type { Analysis, Contact } from '../../../src/contacts/types.ts';
import { contactPlot } from '../../../src/report/contact-plot-svg.ts';
import { archOrder } from '../../../src/teeth/notation.ts';
import type { NumberingScheme } from '../../../src/teeth/types.ts';

const teeth = archOrder('upper').slice(1, 15);
const contacts: Contact[] = teeth.slice(1).map((toothB, i) => ({
  toothA: teeth[i]!,
  toothB,
  status: i === 6 ? 'open' : i === 3 ? 'undecided' : 'bridged',
  gap: i === 6 || i === 3 ? { valueMm: i === 6 ? 0.35 : 0.11, u95Mm: 0.05, basis: 'patch', terms: [] } : null,
  upperBoundMm: i === 6 || i === 3 ? null : 0.13 + 0.01 * i,
  nearestMm: null,
  clearanceMm: null,
  bridge: 'none',
  bridgeHeightMm: null,
  bridgeWidthMm: null,
  pointA: [0, 0, 0],
  pointB: [0, 0, 0],
  closingDirection: [1, 0, 0],
  heightMm: null,
  slipMm: null,
  limitMm: 0.1,
  notes: [],
}));
const analysis: Analysis = {
  sources: [],
  health: null,
  kind: 'scan',
  originMm: [0, 0, 0],
  fileUnit: 'mm',
  jaw: 'upper',
  frame: { origin: [0, 0, 0], x: [1, 0, 0], y: [0, 1, 0], z: [0, 0, 1] },
  archCurve: [],
  teeth: teeth.map((tooth) => ({
    tooth,
    centre: [0, 0, 0],
    mesiodistalMm: null,
    buccolingualMm: null,
    crownHeightMm: null,
    areaMm2: 1,
    fixed: false,
  })),
  missing: [],
  contacts,
  settings: { limitMm: 0.1 },
  warnings: [],
};

function show(start: ContactKey | null = null) {
  const [selected, setSelected] = createSignal<ContactKey | null>(start);
  const [numbering, setNumbering] = createSignal<NumberingScheme>('iso');
  const { container } = render(() => (
    <ContactPlot analysis={analysis} selected={selected()} onSelect={setSelected} numbering={numbering()} />
  ));
  const choices = (): HTMLInputElement[] => [...container.querySelectorAll('input')];
  return { container, choices, selected, setSelected, setNumbering };
}

describe('ContactPlot', () => {
  it('has one named choice per contact, from the patient’s right to left', () => {
    const { choices } = show();
    expect(choices()).toHaveLength(13);
    expect(choices()[0]!.getAttribute('aria-label')).toMatch(/^17-16 bridged/);
    expect(choices()[6]!.getAttribute('aria-label')).toMatch(/^11-21 open, 0\.35 ± 0\.05 mm/);
  });

  it('says in words what it shows', () => {
    const { container } = show();
    const words = container.querySelector('legend')!.textContent;
    expect(words).toContain('13 contacts');
    expect(words).toContain('1 open');
    expect(words).toContain('Limit 0.10 mm');
  });

  it('shares the selection both ways', () => {
    const { choices, selected, setSelected, container } = show();
    fireEvent.click(choices()[6]!);
    expect(selected()).toBe('11-21');
    expect(container.querySelectorAll('.contact-plot-mark.selected')).toHaveLength(1);
    setSelected('17-16');
    expect(choices().map((c) => c.checked)).toEqual(Array.from({ length: 13 }, (_, i) => i === 0));
  });

  it('lets go of a contact by choosing it again, and by Escape', () => {
    const { choices, selected } = show('11-21');
    fireEvent.click(choices()[6]!);
    expect(selected()).toBeNull();
    fireEvent.click(choices()[2]!);
    expect(selected()).toBe('15-14');
    fireEvent.keyDown(choices()[2]!, { key: 'Escape' });
    expect(selected()).toBeNull();
  });

  it('follows the notation', () => {
    const { choices, setNumbering } = show();
    setNumbering('universal');
    expect(choices()[6]!.getAttribute('aria-label')).toMatch(/^8-9 open/);
  });

  it('draws no value for a bridged contact but its bound', () => {
    const { container } = show();
    const marks = [...container.querySelectorAll('.contact-plot-bridged .contact-plot-value')];
    expect(marks.length).toBeGreaterThan(0);
    for (const mark of marks) expect(mark.textContent).toMatch(/^≤ 0\.\d\d$/);
  });
});

describe('fitPlotLabels', () => {
  const marksAt = (widthPx: number) => contactPlot(analysis, { widthPx, heightPx: 240 }, 'iso').marks;

  it('writes every value where there is room', () => {
    expect(fitPlotLabels(marksAt(1200), (m) => m.valueLabel, null, 12).size).toBe(13);
  });

  it('leaves out bounds before values where there is none, and never the selected one', () => {
    const narrow = fitPlotLabels(marksAt(480), (m) => m.valueLabel, 9, 12);
    expect(narrow.size).toBeLessThan(13);
    for (const index of [3, 6, 9]) expect(narrow.has(index)).toBe(true);
  });

  it.each([480, 560, 700, 900])('lets no two texts touch at %d px', (widthPx) => {
    const marks = marksAt(widthPx);
    for (const textOf of [
      (m: (typeof marks)[number]) => m.valueLabel,
      (m: (typeof marks)[number]) => m.statusLabel,
    ]) {
      const kept = fitPlotLabels(marks, textOf, null, 12);
      const texts = marks.filter((m) => kept.has(m.index)).map((m) => textOf(m)!);
      for (let i = 0; i < texts.length; i++) {
        for (let j = i + 1; j < texts.length; j++) {
          // 0.55 em a letter is the average width of digits and lower case in sans faces.
          const width = ((texts[i]!.text.length + texts[j]!.text.length) / 2) * 12 * 0.55;
          const apart =
            Math.abs(texts[i]!.x - texts[j]!.x) > width || Math.abs(texts[i]!.y - texts[j]!.y) > 12;
          expect(apart).toBe(true);
        }
      }
    }
  });
});
