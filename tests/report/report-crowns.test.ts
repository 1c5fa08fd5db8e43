import { JSDOM } from 'jsdom';
import { describe, expect, it } from 'vitest';
import type { ContactView } from '../../src/contacts/crown-contact-view.ts';
import type { Contact } from '../../src/contacts/types.ts';
import { crownFigures } from '../../src/report/report-crowns.ts';
import { makeAnalysis, makeSection } from '../helpers/make-analysis.ts';

const MAP = { outline: [-3, -3, 3, -3, 3, 3], bands: [], point: [0, 0] as const };
const base = makeAnalysis({
  teeth: [12, 11, 21],
  contacts: {
    '12-11': { status: 'closed', gapMm: 0.02, u95Mm: 0.01 },
    '11-21': { status: 'overlap', gapMm: -0.12, u95Mm: 0.01 },
  },
});
const face = (overlapMm: number) => ({ overlapMm, within20umMm2: 1.5, within50umMm2: 2.25 });
const contacts: Contact[] = base.contacts.map((contact) =>
  contact.toothA === 11
    ? { ...contact, crownContact: { buccalMm: -0.4, a: face(0.11), b: face(0.12) } }
    : contact,
);
const analysis = { ...base, kind: 'crowns' as const, contacts };
const views: ContactView[] = contacts.map((contact) => ({
  section: makeSection(contact, contact.gap!.valueMm),
  mapA: MAP,
  mapB: MAP,
}));

describe('crownFigures', () => {
  const { document } = new JSDOM(crownFigures(analysis, views, 'iso')).window;
  const figures = [...document.querySelectorAll('figure')];

  it('draws every contact, whatever its state, with the cut and both walls', () => {
    expect(figures.map((figure) => figure.querySelector('h3')!.textContent)).toEqual([
      '12-11, closed',
      '11-21, overlap',
    ]);
    for (const figure of figures) {
      expect(figure.querySelectorAll('svg.sp')).toHaveLength(1);
      expect(figure.querySelectorAll('svg.cm')).toHaveLength(2);
    }
    const captions = [...figures[1]!.querySelectorAll('.wall p')].map((caption) => caption.textContent);
    expect(captions).toEqual(['11, its wall', '21, its wall']);
  });

  it('says what was measured both ways, in the numbers of the table', () => {
    const facts = [...figures[1]!.querySelectorAll('dt')].map((name) => [
      name.textContent,
      name.nextElementSibling?.textContent,
    ]);
    expect(facts).toEqual([
      ['depth in the other, both crowns', '0.11 | 0.12'],
      ['area within 0.02 mm, mm²', '1.50 | 1.50'],
      ['area within 0.05 mm, mm²', '2.25 | 2.25'],
      ['below the occlusal plane', '2.60'],
      ['to cheek or lip', '−0.40'],
    ]);
    expect(figures[1]!.querySelector('.big')!.textContent).toBe('−0.12 ± 0.01 mm');
  });

  it('is nothing without views', () => {
    expect(crownFigures(analysis, [], 'iso')).toBe('');
  });
});
