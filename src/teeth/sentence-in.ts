import type { ArchgapError } from '../geometry/archgap-error.ts';
import { formatTooth } from './notation.ts';
import type { NumberingScheme, ToothNumber, ToothSentence } from './types.ts';

/** What stands in quotes, and names of files with or without blanks. */
const FILE_NAMES = /("[^"]*"|\([^()]*\.\w{3,4}\)|\S+\.(?:stl|ply|json|csv|zip)\b)/i;

/** What a number before it counts: parts of a mesh or a file. */
const COUNTED =
  '(?:[a-z]+\\s)?(?:bytes?|crumbs?|edges?|faces?|facets?|parts?|pieces?|points?|records?|triangles?|vertex|vertices)\\b';

/**
 * The sentence with its teeth named in a numbering. Sentences are written where no numbering is known, and are shown in
 * the one that the user reads; a number with decimals or a unit, in the name of a file, or that
 * counts parts of a mesh, is no tooth.
 */
export function sentenceIn(
  { sentence, teeth = [] }: Pick<ToothSentence, 'sentence'> & Partial<ToothSentence>,
  scheme: NumberingScheme,
): string {
  if (teeth.length === 0) return sentence;
  const named = new RegExp(
    `(?<![\\w.,])(?:${teeth.join('|')})(?!\\w|[.,]\\w|\\s?(?:mm|µm|%|°)|\\s${COUNTED})`,
    'g',
  );
  // Every other part is the name of a file.
  return sentence
    .split(FILE_NAMES)
    .map((part, k) =>
      k % 2 === 1
        ? part
        : part.replace(named, (number) => formatTooth(Number(number) as ToothNumber, scheme)),
    )
    .join('');
}

/** Keys under which an error's details hold one tooth. */
const TOOTH_KEYS = ['tooth', 'toothA', 'toothB'] as const;

/** What an error says, with the teeth of its details named in a numbering. */
export function errorIn({ message, details }: ArchgapError, scheme: NumberingScheme): string {
  const single = TOOTH_KEYS.map((key) => details[key]);
  const several = typeof details.teeth === 'string' ? details.teeth.split(' ').map(Number) : [];
  const teeth = [...single, ...several].filter((value) => typeof value === 'number');
  return sentenceIn({ sentence: message, teeth: teeth as ToothNumber[] }, scheme);
}

/** Teeth as a detail of an error, as {@link errorIn} reads them. */
export function teethDetail(teeth: readonly ToothNumber[]): string {
  return teeth.join(' ');
}
