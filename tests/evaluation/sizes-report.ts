import { digitOf } from '../../src/teeth/notation.ts';
import type { JudgedSize } from './evaluate-sizes.ts';
import { mean, rootMeanSquare, worst } from './statistics.ts';
import { columns, fixed, textTable } from './text-table.ts';

const CLASSES: readonly (readonly [string, (one: JudgedSize) => boolean])[] = [
  ['incisors', ({ record }) => digitOf(record.tooth) <= 2],
  ['canines', ({ record }) => digitOf(record.tooth) === 3],
  ['premolars', ({ record }) => digitOf(record.tooth) === 4 || digitOf(record.tooth) === 5],
  ['molars', ({ record }) => digitOf(record.tooth) >= 6],
  ['both sides open', ({ open }) => open],
  ['all', () => true],
];

/** Measured minus true mesiodistal width, mm; null without a width. */
function widthError({ record, truth }: JudgedSize): number | null {
  return record.mesiodistalMm === null ? null : record.mesiodistalMm - truth.mesiodistalMm;
}

/** A row per kind of tooth: errors of the mesiodistal and the buccolingual extents, mm. */
export function sizesTable(judged: readonly JudgedSize[]): string {
  const header = columns(
    '<teeth',
    'crowns',
    'widths',
    'mean mm',
    'rms',
    'worst',
    'within 0.05',
    'within 0.10',
    'within U',
    'across rms',
    'worst',
  );
  return textTable(
    header,
    CLASSES.map(([name, belongs]) => sizesRow(name, judged.filter(belongs))),
  );
}

function sizesRow(name: string, judged: readonly JudgedSize[]): (string | null)[] {
  const errors = judged.flatMap((one) => widthError(one) ?? []);
  const covered = judged.filter((one) => {
    const error = widthError(one);
    return error !== null && Math.abs(error) <= one.record.sizesU95Mm!.mesiodistal!;
  }).length;
  const across = judged.flatMap(({ record, truth }) =>
    record.buccolingualMm === null || truth.buccolingualMm === null
      ? []
      : [record.buccolingualMm - truth.buccolingualMm],
  );
  const within = (mm: number): string => String(errors.filter((error) => Math.abs(error) <= mm).length);
  return [
    name,
    String(judged.length),
    String(errors.length),
    fixed(mean(errors), 3),
    fixed(rootMeanSquare(errors), 3),
    fixed(worst(errors), 3),
    within(0.05),
    within(0.1),
    String(covered),
    fixed(rootMeanSquare(across), 3),
    fixed(worst(across), 3),
  ];
}

/** Every crown of the given cases: true and measured width with its uncertainty, mm. */
export function crownTable(judged: readonly JudgedSize[]): string {
  return textTable(
    columns('<arch', 'tooth', 'true mm', 'width mm', 'U mm', 'error mm'),
    judged.map((one) => [
      one.place,
      String(one.record.tooth),
      fixed(one.truth.mesiodistalMm, 3),
      fixed(one.record.mesiodistalMm, 3),
      fixed(one.record.sizesU95Mm?.mesiodistal ?? null, 3),
      fixed(widthError(one), 3),
    ]),
  );
}
