import { inputError } from '../geometry/archgap-error.ts';
import { indexSurface } from '../geometry/surface-distance.ts';
import { lerp } from '../geometry/vec3.ts';
import type { ToothNumber } from '../teeth/types.ts';
import { contactFrame } from './contact-frame.ts';
import { type ContactMap, contactMap } from './contact-map.ts';
import { cutSection } from './cut-section.ts';
import type { MergedCrowns } from './merge-crowns.ts';
import type { Analysis, SectionProfile } from './types.ts';

/** What is drawn of one contact: the cut, and both walls seen from the neighbour in one pair of axes. */
export interface ContactView {
  readonly section: SectionProfile;
  readonly mapA: ContactMap;
  readonly mapB: ContactMap;
}

/**
 * The pictures of one contact of separate crowns.
 * @throws ArchgapError `NO_SECTION` where the two are no measured neighbours
 */
export function crownContactView(
  merged: MergedCrowns,
  analysis: Analysis,
  toothA: ToothNumber,
  toothB: ToothNumber,
): ContactView {
  const contact = analysis.contacts.find((one) => one.toothA === toothA && one.toothB === toothB);
  if (contact === undefined || contact.pointA === null || contact.pointB === null) {
    throw inputError('NO_SECTION', `There is no contact of ${toothA} and ${toothB} that could be drawn.`);
  }
  const frame = contactFrame(analysis.frame, analysis.jaw, contact.closingDirection);
  const place = lerp(contact.pointA, contact.pointB, 0.5);
  const [a, b] = [toothA, toothB].map((tooth) => indexSurface(merged.mesh, merged.parts.get(tooth)));
  const overlapping = contact.gap === null || contact.gap.valueMm < 0;
  return {
    section: cutSection(merged.mesh, merged, analysis, contact),
    mapA: contactMap(a!, b!, frame, 1, overlapping, place, place),
    mapB: contactMap(b!, a!, frame, -1, overlapping, place, place),
  };
}

/** The pictures of every contact of separate crowns that has a place, in arch order. */
export function crownContactViews(merged: MergedCrowns, analysis: Analysis): ContactView[] {
  return analysis.contacts
    .filter(({ pointA, pointB }) => pointA !== null && pointB !== null)
    .map(({ toothA, toothB }) => crownContactView(merged, analysis, toothA, toothB));
}
