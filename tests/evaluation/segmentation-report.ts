import { borderError } from './border-error.ts';
import type { ArchResult, ToothResult } from './evaluate-segmentation.ts';
import { type SpaceChange, spaceEffect } from './space-change.ts';
import { mean, quantile, shareOf } from './statistics.ts';
import { columns, fixed, micrometres, percent, textTable } from './text-table.ts';

/** A tooth counts as found above this overlap. */
const FOUND_IOU = 0.9;

/** Figures of one arch, or of many taken together. */
export interface SegmentationFigures {
  readonly teeth: number;
  readonly meanIou: number | null;
  readonly leastIou: number | null;
  readonly p5Iou: number | null;
  readonly shareFound: number | null;
  readonly gum: ReturnType<typeof borderError>;
  readonly contact: ReturnType<typeof borderError>;
  /** Teeth whose label is not one piece. */
  readonly brokenTeeth: number;
  readonly mostPieces: number;
  readonly spaces: ReturnType<typeof spaceEffect> | null;
  /** Medians, ms. */
  readonly loadMs: number | null;
  readonly prepareMs: number | null;
  readonly segmentMs: number | null;
}

/** Pools teeth, border points and contacts of all results. */
export function segmentationFigures(results: readonly ArchResult[]): SegmentationFigures {
  const teeth = results.flatMap((result) => result.teeth);
  const iou = teeth.map((tooth) => tooth.iou);
  const changes = results.flatMap((result) => result.spaces ?? []);
  return {
    teeth: teeth.length,
    meanIou: mean(iou),
    leastIou: quantile(iou, 0),
    p5Iou: quantile(iou, 0.05),
    shareFound: shareOf(iou, (value) => value > FOUND_IOU),
    gum: borderError(results.flatMap((result) => result.gumDistances)),
    contact: borderError(results.flatMap((result) => result.contactDistances)),
    brokenTeeth: teeth.filter((tooth) => tooth.pieces !== 1).length,
    mostPieces: Math.max(0, ...teeth.map((tooth) => tooth.pieces)),
    spaces: results.some((result) => result.spaces !== null) ? spaceEffect(changes) : null,
    loadMs: medianOf(results, (result) => result.loadMs),
    prepareMs: medianOf(results, (result) => result.prepareMs),
    segmentMs: medianOf(results, (result) => result.segmentMs),
  };
}

function medianOf(results: readonly ArchResult[], value: (result: ArchResult) => number): number | null {
  return quantile(results.map(value), 0.5);
}

/** The table of all results with a last row for all of them together. */
export function segmentationTable(results: readonly ArchResult[]): string {
  const header = columns(
    '<arch',
    '<clicks',
    'triangles',
    'teeth',
    'IoU mean',
    'least',
    'p5',
    '> 0.9',
    'gum mm',
    '95 %',
    'contact mm',
    '95 %',
    'broken',
    'space um',
    'worst',
    'turned',
    'load ms',
    'prepare',
    'segment',
  );
  const row = (arch: string, clicks: string, triangles: string | null, f: SegmentationFigures) => [
    arch,
    clicks,
    triangles,
    String(f.teeth),
    fixed(f.meanIou, 4),
    fixed(f.leastIou, 3),
    fixed(f.p5Iou, 3),
    percent(f.shareFound),
    fixed(f.gum.medianMm, 3),
    fixed(f.gum.p95Mm, 3),
    fixed(f.contact.medianMm, 3),
    fixed(f.contact.p95Mm, 3),
    String(f.brokenTeeth),
    micrometres(f.spaces?.medianMm ?? null),
    micrometres(f.spaces?.worstMm ?? null),
    f.spaces === null ? null : String(f.spaces.turned.length),
    fixed(f.loadMs, 0),
    fixed(f.prepareMs, 0),
    fixed(f.segmentMs, 0),
  ];
  return textTable(header, [
    ...results.map((result) =>
      row(result.arch, result.clicks, String(result.triangles), segmentationFigures([result])),
    ),
    row('all', '', null, segmentationFigures(results)),
  ]);
}

/** Teeth below a floor, in more than one piece, and contacts whose state the labels changed. */
export function segmentationOffenders(results: readonly ArchResult[], floorIou: number): string[] {
  return results.flatMap((result) => {
    const place = `${result.arch} (${result.clicks})`;
    const teeth = result.teeth
      .filter((tooth) => tooth.iou < floorIou || tooth.pieces !== 1)
      .map((tooth) => `${place}: ${toothSentence(tooth)}`);
    const { turned, lostOrWon } = spaceEffect(result.spaces ?? []);
    const contacts = [...turned, ...lostOrWon].map((change) => `${place}: ${changeSentence(change)}`);
    return [...teeth, ...contacts];
  });
}

function toothSentence(tooth: ToothResult): string {
  const faults = [
    ['lost to gum', tooth.lostToGum],
    ['lost to teeth', tooth.lostToTeeth],
    ['taken from gum', tooth.takenFromGum],
    ['taken from teeth', tooth.takenFromTeeth],
  ] as const;
  const shares = faults.map(([what, share]) => `${what} ${(100 * share).toFixed(1)} %`).join(', ');
  return `tooth ${tooth.tooth} IoU ${tooth.iou.toFixed(3)}, pieces ${tooth.pieces}; ${shares}`;
}

function changeSentence(change: SpaceChange): string {
  const gap = (seen: string, mm: number | null): string =>
    mm === null ? seen : `${seen} ${mm.toFixed(3)} mm`;
  const before = gap(change.withTrueLabels, change.trueLabelsGapMm);
  const after = gap(change.withOwnLabels, change.ownLabelsGapMm);
  const truth = change.truth === null ? '' : `, in truth ${change.truth}`;
  return `contact ${change.toothA}-${change.toothB} is ${before} with true labels, ${after} with these${truth}`;
}
