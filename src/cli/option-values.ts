import { InvalidArgumentError } from 'commander';
import type { ArchPart, SpanRule } from '../closure/types.ts';
import { ArchgapError } from '../geometry/archgap-error.ts';
import type { LengthUnit } from '../scan/types.ts';
import { parseTooth } from '../teeth/notation.ts';
import type { Jaw, NumberingScheme, ToothNumber } from '../teeth/types.ts';

export const UNITS: readonly LengthUnit[] = ['mm', 'cm', 'm', 'in'];
export const SCHEMES: readonly NumberingScheme[] = ['iso', 'universal', 'palmer'];
export const JAWS: readonly Jaw[] = ['upper', 'lower'];
export const SPAN_RULES: readonly SpanRule[] = ['shortest', 'widens-nothing', 'terminal-molars'];
export const ARCH_PARTS: readonly ArchPart[] = ['anterior', 'posterior', 'none'];

/** A limit above this is no closed contact in any practice: a unit was mistaken. */
const MOST_LIMIT_MM = 5;
const MOST_STEP_MM = 2;
const MOST_STAGES = 99;

/** `--limit`: 0 to 5 mm. */
export function parseLimit(text: string): number {
  return numberWithin(text, 0, MOST_LIMIT_MM, 'Expected millimetres from 0 to 5, such as 0.10.');
}

/** `--per-stage`: more than 0, at most 2 mm. */
export function parseStep(text: string): number {
  const sentence = 'Expected millimetres above 0 and up to 2, such as 0.25.';
  const value = numberWithin(text, 0, MOST_STEP_MM, sentence);
  if (value === 0) throw new InvalidArgumentError(sentence);
  return value;
}

/** `--max-stages`: a whole number, 1 to 99. */
export function parseStages(text: string): number {
  const sentence = 'Expected a whole number of stages from 1 to 99.';
  const value = numberWithin(text, 1, MOST_STAGES, sentence);
  if (!Number.isInteger(value)) throw new InvalidArgumentError(sentence);
  return value;
}

function numberWithin(text: string, least: number, most: number, sentence: string): number {
  const value = /^\d+(\.\d+)?$|^\.\d+$/.test(text.trim()) ? Number(text) : Number.NaN;
  if (!(value >= least && value <= most)) throw new InvalidArgumentError(sentence);
  return value;
}

/** `--fixed 16,26`: ISO 3950 numbers. */
export function parseTeeth(text: string): ToothNumber[] {
  return [...new Set(text.split(',').map((part) => toothOf(part)))];
}

export interface CrownOption {
  readonly tooth: ToothNumber;
  readonly path: string;
}

/** `--crown 11=FILE`, given once per crown. */
export function collectCrown(text: string, before: readonly CrownOption[] | undefined): CrownOption[] {
  const at = text.indexOf('=');
  if (at <= 0 || at === text.length - 1) {
    throw new InvalidArgumentError('Expected TOOTH=FILE, such as 11=crown-11.stl.');
  }
  const crown = { tooth: toothOf(text.slice(0, at)), path: text.slice(at + 1) };
  if (before?.some(({ tooth }) => tooth === crown.tooth)) {
    throw new InvalidArgumentError(`Tooth ${crown.tooth} is given twice.`);
  }
  return [...(before ?? []), crown];
}

function toothOf(text: string): ToothNumber {
  try {
    return parseTooth(text, 'iso');
  } catch (fault) {
    if (fault instanceof ArchgapError) throw new InvalidArgumentError(fault.message);
    throw fault;
  }
}

/** Most threads of a batch; far beyond any machine the tool is meant for. */
const MOST_JOBS = 1024;

/** `--jobs`: a whole number from 1. */
export function parseJobs(text: string): number {
  const sentence = `Expected a whole number of scans at once, from 1 to ${MOST_JOBS}.`;
  const value = numberWithin(text, 1, MOST_JOBS, sentence);
  if (!Number.isInteger(value)) throw new InvalidArgumentError(sentence);
  return value;
}

/** One share of a list: every `of`-th row from row `part`. */
export interface PartOption {
  readonly part: number;
  readonly of: number;
}

/** `--part 2/4`. */
export function parsePart(text: string): PartOption {
  const match = /^([1-9]\d{0,5})\/([1-9]\d{0,5})$/.exec(text.trim());
  const [part, of] = [Number(match?.[1]), Number(match?.[2])];
  if (!(part <= of)) throw new InvalidArgumentError('Expected K/N with K from 1 to N, such as 2/4.');
  return { part, of };
}

/** `--target id,tooth_a`: names of columns. */
export function parseColumns(text: string): string[] {
  const names = text.split(',').map((name) => name.trim());
  if (names.some((name) => name === ''))
    throw new InvalidArgumentError('Expected names of columns with commas between them, such as id,tooth_a.');
  return [...new Set(names)];
}
