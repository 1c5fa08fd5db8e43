import { measureContacts } from '../../src/contacts/measure-contacts.ts';
import { DEFAULT_MEASURE_SETTINGS } from '../../src/contacts/settings.ts';
import { faceAdjacency } from '../../src/geometry/adjacency.ts';
import { triangleAreas } from '../../src/geometry/triangle-geometry.ts';
import { prepareTeeth, type TeethBase } from '../../src/teeth/prepare-teeth.ts';
import { segmentTeeth } from '../../src/teeth/segment-teeth.ts';
import type { ClickSet, Segmentation, ToothMap, ToothNumber } from '../../src/teeth/types.ts';
import { borderDistances, labelBorders } from './border-error.ts';
import { jitterClicks } from './jitter-clicks.ts';
import { labelPieces } from './label-pieces.ts';
import type { LabelledCase } from './labelled-case.ts';
import { type SpaceChange, spaceChanges } from './space-change.ts';
import { type ToothOverlap, toothOverlap } from './tooth-overlap.ts';

export interface ToothResult extends ToothOverlap {
  readonly tooth: ToothNumber;
  /** Connected pieces of the label that was found. */
  readonly pieces: number;
}

/** One arch under one click set. */
export interface ArchResult {
  readonly arch: string;
  readonly clicks: string;
  readonly triangles: number;
  readonly teeth: readonly ToothResult[];
  /** Symmetric distances of border points, mm (see `borderDistances`). */
  readonly gumDistances: readonly number[];
  readonly contactDistances: readonly number[];
  /** Largest share of a tooth that nobody clicked which was given to its neighbours; null when all were clicked. */
  readonly swallowed: number | null;
  /** Null when contacts were not asked for. */
  readonly spaces: readonly SpaceChange[] | null;
  readonly loadMs: number;
  readonly prepareMs: number;
  readonly segmentMs: number;
}

export interface SegmentationOptions {
  /** Generated click sets beside the given ones; null = none. */
  readonly jitter: { readonly reachMm: number; readonly seeds: number } | null;
  /** Whether contacts are measured with both labels; false saves most of the time. */
  readonly spaces: boolean;
}

/** Everything that is asked of one case: all its click sets, then the generated ones, in order. */
export async function* evaluateSegmentation(
  labelled: LabelledCase,
  options: SegmentationOptions,
): AsyncGenerator<ArchResult> {
  const before = performance.now();
  const base = await prepareTeeth(labelled.scan);
  const prepareMs = performance.now() - before;
  for (const [clicks, set] of allClickSets(labelled, options.jitter)) {
    yield await evaluateClicks(labelled, base, prepareMs, clicks, set, options.spaces);
  }
}

function* allClickSets(
  labelled: LabelledCase,
  jitter: SegmentationOptions['jitter'],
): Generator<[string, ClickSet]> {
  yield* labelled.clickSets;
  const first = labelled.clickSets.values().next().value;
  if (jitter === null || first === undefined) return;
  const area = triangleAreas(labelled.scan);
  for (let seed = 1; seed <= jitter.seeds; seed += 1) {
    const moved = jitterClicks(labelled.scan, area, labelled.truth, first, jitter.reachMm, seed);
    yield [`${jitter.reachMm} mm, seed ${seed}`, moved];
  }
}

async function evaluateClicks(
  { name, scan, truth: allTeeth, spaces: known, loadMs }: LabelledCase,
  base: TeethBase,
  prepareMs: number,
  clicks: string,
  set: ClickSet,
  withSpaces: boolean,
): Promise<ArchResult> {
  const before = performance.now();
  const segmentation = segmentTeeth(base, set);
  const segmentMs = performance.now() - before;
  const truth = clickedOnly(allTeeth, set);
  const area = triangleAreas(scan);
  const adjacency = faceAdjacency(scan.triangles, scan.positions.length / 3);
  const overlap = toothOverlap(area, truth, segmentation.labels);
  const pieces = labelPieces(adjacency, segmentation.labels);
  const trueBorders = labelBorders(scan, adjacency, truth);
  const ownBorders = labelBorders(scan, adjacency, segmentation.labels);
  const spaces = withSpaces ? await changesOfSpaces(scan, set, truth, segmentation, known) : null;
  return {
    arch: name,
    clicks,
    triangles: scan.triangles.length / 3,
    teeth: [...overlap].map(([tooth, found]) => ({ tooth, ...found, pieces: pieces.get(tooth) ?? 0 })),
    gumDistances: borderDistances(trueBorders.gum, ownBorders.gum),
    contactDistances: borderDistances(trueBorders.teeth, ownBorders.teeth),
    swallowed: swallowedShare(area, allTeeth, truth, segmentation.labels),
    spaces,
    loadMs,
    prepareMs,
    segmentMs,
  };
}

/** Teeth that nobody clicked are no teeth here: whoever takes them into a neighbour loses overlap. */
function clickedOnly(truth: ToothMap, set: ClickSet): ToothMap {
  const clicked = new Set(set.clicks.map((click) => click.tooth));
  return truth.map((tooth) => (clicked.has(tooth) ? tooth : 0));
}

function swallowedShare(
  area: Float32Array,
  allTeeth: ToothMap,
  clickedTeeth: ToothMap,
  labels: ToothMap,
): number | null {
  const whole = new Float64Array(256);
  const taken = new Float64Array(256);
  for (let t = 0; t < labels.length; t += 1) {
    const tooth = allTeeth[t]!;
    if (tooth === 0 || clickedTeeth[t] !== 0) continue;
    whole[tooth]! += area[t]!;
    if (labels[t] !== 0) taken[tooth]! += area[t]!;
  }
  const shares = [...taken].flatMap((part, tooth) => (whole[tooth]! > 0 ? part / whole[tooth]! : []));
  return shares.length > 0 ? Math.max(...shares) : null;
}

/** The same clicks and frame, once with the true labels: what differs is the labels' doing. */
async function changesOfSpaces(
  scan: LabelledCase['scan'],
  set: ClickSet,
  truth: ToothMap,
  segmentation: Segmentation,
  known: LabelledCase['spaces'],
): Promise<SpaceChange[]> {
  const ideal: Segmentation = { labels: truth, frame: segmentation.frame, warnings: [] };
  const withTrue = await measureContacts(scan, set, ideal, DEFAULT_MEASURE_SETTINGS);
  const withOwn = await measureContacts(scan, set, segmentation, DEFAULT_MEASURE_SETTINGS);
  return spaceChanges(withTrue.contacts, withOwn.contacts, known);
}
