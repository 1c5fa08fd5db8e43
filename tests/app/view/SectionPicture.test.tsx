import { render } from '@solidjs/testing-library';
import { describe, expect, it } from 'vitest';
import { SectionPicture } from '../../../src/app/features/contacts/SectionPicture.tsx';
import type { Contact, SectionProfile } from '../../../src/contacts/types.ts';

/** Two round walls 0.3 mm apart. */
const wall = (side: 1 | -1): number[] =>
  Array.from({ length: 41 }, (_, i) => {
    const angle = -Math.PI / 2 + (Math.PI * i) / 40;
    return [side * (3.15 - 3 * Math.cos(angle)), 3 * Math.sin(angle)];
  }).flat();
const profile: SectionProfile = {
  toothA: 13,
  toothB: 12,
  origin: [0, 0, 0],
  u: [1, 0, 0],
  v: [0, 0, 1],
  linesA: [wall(-1)],
  linesB: [wall(1)],
  linesGum: [[-0.4, -2.8, 0.4, -2.8]],
  a: [-0.15, 0],
  b: [0.15, 0],
  outOfPlaneMm: 0.2,
};
const contact: Contact = {
  toothA: 13,
  toothB: 12,
  status: 'open',
  gap: { valueMm: 0.3, u95Mm: 0.04, basis: 'patch', terms: [] },
  upperBoundMm: null,
  nearestMm: 0.29,
  clearanceMm: 0.3,
  bridge: 'none',
  bridgeHeightMm: null,
  bridgeWidthMm: null,
  pointA: [-0.15, 0, 0],
  pointB: [0.15, 0, 0],
  closingDirection: [1, 0, 0],
  heightMm: 2,
  slipMm: 0,
  limitMm: 0.1,
  notes: [],
};

describe('SectionPicture', () => {
  it('is one named picture with the measured space written in it', () => {
    const { container } = render(() => (
      <SectionPicture profile={profile} contact={contact} numbering="iso" />
    ));
    const picture = container.querySelector('svg')!;
    expect(picture.getAttribute('role')).toBe('img');
    expect(picture.getAttribute('aria-label')).toMatch(/^Section through 13-12 open, 0\.30 ± 0\.04 mm/);
    expect(picture.textContent).toContain('0.30 ± 0.04 mm');
    expect(picture.querySelectorAll('.sp-point').length).toBeGreaterThanOrEqual(2);
  });

  it('says when the picture shows less than the distance', () => {
    const { container } = render(() => (
      <SectionPicture profile={profile} contact={contact} numbering="iso" />
    ));
    expect(container.querySelector('figcaption')!.textContent).toContain('0.20 mm apart across the cut');
  });

  it('gives a bridged contact no number', () => {
    const bridged: Contact = { ...contact, status: 'bridged', gap: null, bridge: 'full', upperBoundMm: 0.2 };
    const { container } = render(() => (
      <SectionPicture profile={{ ...profile, a: null, b: null }} contact={bridged} numbering="iso" />
    ));
    expect(container.querySelectorAll('.sp-point, .sp-value')).toHaveLength(0);
    expect(container.querySelector('figcaption')!.textContent).toContain('was not seen');
  });

  it('keeps two pictures on one page apart', () => {
    const { container } = render(() => (
      <>
        <SectionPicture profile={profile} contact={contact} numbering="iso" />
        <SectionPicture profile={profile} contact={contact} numbering="iso" />
      </>
    ));
    const ids = [...container.querySelectorAll('[id]')].map((e) => e.id);
    expect(ids.length).toBeGreaterThan(0);
    expect(new Set(ids).size).toBe(ids.length);
  });
});
