import { PLAIN_OPEN_EDGES } from './tolerances.ts';
import type { Analysis, BridgeState, Contact, ContactStatus, GapEstimate, NoteCode } from './types.ts';

/** What the decision rests on. */
export interface ContactEvidence {
  readonly missingTooth: boolean;
  readonly gap: GapEstimate | null;
  readonly bridge: BridgeState;
  readonly upperBoundMm: number | null;
  readonly notes: readonly string[];
}

/**
 * The status of a contact against a limit, guarded both ways: neither "open" nor "closed" unless the whole interval
 * g - U to g + U lies on that side (ISO 14253-1, JCGM 106:2012; guard band U with U = 2 u, so that the risk of a wrong
 * statement at the border is at most 2.3 %). A bridged contact is closed only when even its upper bound is, and only
 * where that bound was seen at the rim of the web: what scanners are assumed never to bridge says nothing of a contact.
 */
export function decideStatus(evidence: ContactEvidence, limitMm: number): ContactStatus {
  const { gap, bridge, upperBoundMm, notes } = evidence;
  if (evidence.missingTooth) return 'missing-tooth';
  if (has(notes, 'depth-unknown')) return 'overlap';
  if (gap !== null) {
    if (gap.basis === 'crown-shells' && gap.valueMm + gap.u95Mm < 0) return 'overlap';
    if (gap.valueMm - gap.u95Mm > limitMm) return 'open';
    if (gap.valueMm + gap.u95Mm < limitMm) return 'closed';
    return 'undecided';
  }
  if (bridge === 'none') return 'not-measurable';
  const seen = upperBoundMm !== null && !has(notes, 'bound-scanner');
  return seen && upperBoundMm < limitMm ? 'closed' : 'bridged';
}

/** True when the notes hold that code. */
function has(notes: readonly string[], code: NoteCode): boolean {
  return notes.includes(code);
}

/**
 * The number that a coarse scan may still give: the exact distance with U of one edge, when it exceeds the limit by
 * many edges; else null.
 */
export function coarseGap(nearestMm: number, edgeMm: number, limitMm: number): GapEstimate | null {
  if (nearestMm - PLAIN_OPEN_EDGES * edgeMm <= limitMm) return null;
  return {
    valueMm: nearestMm,
    u95Mm: edgeMm,
    basis: 'mesh-minimum',
    terms: [
      {
        name: 'edge',
        type: 'B',
        standardMm: edgeMm / 2,
        source:
          'The scan is too coarse for a fitted wall: one edge length is taken for the expanded uncertainty.',
      },
    ],
  };
}

/**
 * What a coarse scan says of a pair: a plainly large space or, else, that it is no larger than the exact distance and
 * an edge. Beside a web there is no number at all.
 */
export function coarseDecision(
  nearestMm: number,
  edgeMm: number,
  bridge: BridgeState,
  limitMm: number,
): { readonly gap: GapEstimate | null; readonly upperBoundMm: number | null } {
  const gap = bridge === 'none' ? coarseGap(nearestMm, edgeMm, limitMm) : null;
  return { gap, upperBoundMm: gap === null ? nearestMm + edgeMm : null };
}

/** The same contact against another limit, exactly as measuring at that limit gives it; nothing is measured again. */
export function contactWithLimit(contact: Contact, limitMm: number): Contact {
  const { nearestMm, coarseEdgeMm, bridge, notes } = contact;
  const { gap, upperBoundMm } =
    coarseEdgeMm === undefined || nearestMm === null
      ? contact
      : coarseDecision(nearestMm, coarseEdgeMm, bridge, limitMm);
  const status = decideStatus(
    {
      missingTooth: contact.status === 'missing-tooth',
      gap,
      bridge,
      upperBoundMm,
      notes,
    },
    limitMm,
  );
  return { ...contact, gap, upperBoundMm, status, limitMm };
}

/**
 * Decides all contacts anew for another limit without measuring again.
 * @param limitMm - the space the user still calls closed, mm
 */
export function withLimit(analysis: Analysis, limitMm: number): Analysis {
  return {
    ...analysis,
    settings: { ...analysis.settings, limitMm },
    contacts: analysis.contacts.map((contact) => contactWithLimit(contact, limitMm)),
  };
}
