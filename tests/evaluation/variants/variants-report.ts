import type { ArchResult } from '../evaluate-segmentation.ts';
import { type SegmentationFigures, segmentationFigures } from '../segmentation-report.ts';
import { mean, quantile, shareOf } from '../statistics.ts';
import { columns, fixed, percent, textTable } from '../text-table.ts';

/** What one variant did to one mouth. */
export interface VariantResult {
  readonly variant: string;
  readonly mouth: string;
  readonly result: ArchResult;
}

/** Rows of the table pooled by something, in order of appearance, and one for all. */
export function variantsTable(results: readonly VariantResult[], by: 'variant' | 'mouth'): string {
  const header = columns(
    `<${by}`,
    'arches',
    'teeth',
    'IoU mean',
    'p5',
    'least',
    '> 0.9',
    'gum 95 %',
    'contact 95 %',
    'swallowed',
    'ms',
  );
  const names = [...new Set(results.map((one) => one[by]))];
  return textTable(header, [
    ...names.map((name) =>
      row(
        name,
        results.filter((one) => one[by] === name).map((one) => one.result),
      ),
    ),
    ...['third molars', 'second molars'].map((name, k) => digitRow(name, results, 8 - k)),
    row(
      'all',
      results.map((one) => one.result),
    ),
  ]);
}

function row(name: string, results: readonly ArchResult[]): (string | null)[] {
  const f: SegmentationFigures = segmentationFigures(results);
  const swallowed = results.flatMap(({ swallowed: share }) => share ?? []);
  return [
    name,
    String(results.length),
    String(f.teeth),
    fixed(f.meanIou, 4),
    fixed(f.p5Iou, 3),
    fixed(f.leastIou, 3),
    percent(f.shareFound),
    fixed(f.gum.p95Mm, 3),
    fixed(f.contact.p95Mm, 3),
    swallowed.length > 0 ? percent(Math.max(...swallowed)) : null,
    fixed(f.segmentMs, 0),
  ];
}

function digitRow(name: string, results: readonly VariantResult[], digit: number): (string | null)[] {
  const iou = results.flatMap(({ result }) =>
    result.teeth.filter(({ tooth }) => tooth % 10 === digit).map((tooth) => tooth.iou),
  );
  return [
    name,
    null,
    String(iou.length),
    fixed(mean(iou), 4),
    fixed(quantile(iou, 0.05), 3),
    fixed(quantile(iou, 0), 3),
    percent(shareOf(iou, (value) => value > 0.9)),
  ];
}

/** Teeth below an overlap, worst first. */
export function worstTeeth(results: readonly VariantResult[], floor: number): string[] {
  return results
    .flatMap(({ variant, result }) => result.teeth.map((tooth) => ({ variant, result, tooth })))
    .filter(({ tooth }) => tooth.iou < floor)
    .sort((a, b) => a.tooth.iou - b.tooth.iou)
    .map(({ variant, result, tooth }) => {
      const part = (share: number): string => percent(share)!;
      return `${tooth.iou.toFixed(3)} ${tooth.tooth} of ${result.arch}, ${variant}, ${result.clicks}: lost to gum ${part(tooth.lostToGum)}, to teeth ${part(tooth.lostToTeeth)}; taken from gum ${part(tooth.takenFromGum)}, from teeth ${part(tooth.takenFromTeeth)}`;
    });
}
