import { InvalidArgumentError } from 'commander';
import type { ArchPart, FlossFinding, SpanRule } from '../closure/types.ts';
import type { FitTarget } from '../contacts/fit-types.ts';
import { MOST_SCANNER_NAME } from '../contacts/scanner-profile.ts';
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
const MOST_TURN_DEG = 10;
const LEAST_SHARE = 0.1;
/** Over-closure makes up for motion that is not expressed: a fraction of a space, not one of its own. */
const MOST_OVER_CLOSURE_MM = 0.5;

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

/** `--per-stage-deg`: more than 0, at most 10 degrees. */
export function parseTurn(text: string): number {
  const sentence = 'Expected degrees above 0 and up to 10, such as 1.2.';
  const value = numberWithin(text, 0, MOST_TURN_DEG, sentence);
  if (value === 0) throw new InvalidArgumentError(sentence);
  return value;
}

/** `--expression`: a share from 0.1 to 1. */
export function parseShare(text: string): number {
  return numberWithin(text, LEAST_SHARE, 1, 'Expected a share from 0.1 to 1, such as 0.8.');
}

export interface OverCloseOption {
  readonly toothA: ToothNumber;
  readonly toothB: ToothNumber;
  readonly mm: number;
}

/** `--over-close 13-12=0.05`, given once per contact. */
export function collectOverClose(
  text: string,
  before: readonly OverCloseOption[] | undefined,
): OverCloseOption[] {
  const sentence = `Expected CONTACT=MM above 0 and up to ${MOST_OVER_CLOSURE_MM}, such as 13-12=0.05.`;
  const { pair, value } = pairAndValue(text, sentence, before);
  const mm = numberWithin(value, 0, MOST_OVER_CLOSURE_MM, sentence);
  if (mm === 0) throw new InvalidArgumentError(sentence);
  return [...(before ?? []), { ...pair, mm }];
}

/** `--floss 13-12=closed`, `=open`, or the thickness of the strip that passed, mm; given once per contact. */
export function collectFloss(text: string, before: readonly FlossFinding[] | undefined): FlossFinding[] {
  const sentence = 'Expected CONTACT=closed, =open, or =MM of the strip that passed, such as 13-12=0.05.';
  const { pair, value } = pairAndValue(text, sentence, before);
  if (value === 'open' || value === 'closed') return [...(before ?? []), { ...pair, finding: value }];
  const spaceMm = numberWithin(value, 0, MOST_LIMIT_MM, sentence);
  if (spaceMm === 0) throw new InvalidArgumentError(sentence);
  return [...(before ?? []), { ...pair, finding: 'open', spaceMm }];
}

type NamedPair = Pick<OverCloseOption, 'toothA' | 'toothB'>;

/** `13-12=...`: two different teeth that were not named before, and what stands behind the sign. */
function pairAndValue(
  text: string,
  sentence: string,
  before: readonly NamedPair[] | undefined,
): { pair: NamedPair; value: string } {
  const match = /^(\d\d)-(\d\d)=(.+)$/.exec(text.trim());
  if (!match || match[1] === match[2]) throw new InvalidArgumentError(sentence);
  const [toothA, toothB] = [toothOf(match[1]!), toothOf(match[2]!)];
  const named = (other: NamedPair): boolean =>
    [other.toothA, other.toothB].includes(toothA) && [other.toothA, other.toothB].includes(toothB);
  if (before?.some(named)) throw new InvalidArgumentError(`Contact ${toothA}-${toothB} is given twice.`);
  return { pair: { toothA, toothB }, value: match[3]! };
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

/** `--tooth 24`. */
export function parseToothOption(text: string): ToothNumber {
  return toothOf(text);
}

/** `--name`: as a scanner's profile can hold it. */
export function parseScannerName(text: string): string {
  const name = text.trim();
  if (name !== '' && name.length <= MOST_SCANNER_NAME) return name;
  throw new InvalidArgumentError(`Expected a name of 1 to ${MOST_SCANNER_NAME} characters.`);
}

const MOST_TARGET_MM = 1;

/** `--target -0.03..0`: two spaces, the tighter one first. */
export function parseTarget(text: string): FitTarget {
  const ends = /^([+-]?\d*\.?\d+)\.\.([+-]?\d*\.?\d+)$/.exec(text.trim());
  const [tightMm, wideMm] = [Number(ends?.[1]), Number(ends?.[2])];
  if (tightMm <= wideMm && Math.max(Math.abs(tightMm), Math.abs(wideMm)) <= MOST_TARGET_MM) {
    return { tightMm, wideMm };
  }
  throw new InvalidArgumentError('Expected two spaces within 1 mm, the tighter first, such as -0.03..0.');
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
