import type { AgreementAnalysis } from '../study/assess-agreement.ts';

/** The unit of a study and the decimals of every figure in it. */
export interface FigureUnit {
  /** `mm`; empty where the table names none. */
  readonly name: string;
  readonly digits: number;
}

/** Ratios, and studies whose errors say nothing. */
const PLAIN_DIGITS = 3;
const MOST_DIGITS = 6;

/**
 * One number of decimals for the whole study: the smallest of its Dahlberg errors gets two significant digits, as
 * JCGM 100:2008, 7.2.6 has it for uncertainties.
 */
export function figureUnit(name: string, analyses: readonly AgreementAnalysis[]): FigureUnit {
  const errors = analyses.flatMap(({ figures }) => (figures ? [figures.error.dahlberg.value] : []));
  const least = Math.min(...errors.filter((error) => error > 0));
  const digits = Number.isFinite(least) ? 1 - Math.floor(Math.log10(least)) : PLAIN_DIGITS;
  return { name, digits: Math.min(Math.max(digits, 0), MOST_DIGITS) };
}

/** A figure of a study with its unit. */
export function figure(value: number, unit: FigureUnit): string {
  const text = number(value, unit);
  return unit.name === '' ? text : `${text} ${unit.name}`;
}

export function number(value: number, { digits }: FigureUnit): string {
  return fixed(value, digits);
}

/** A correlation or another ratio. */
export function ratio(value: number): string {
  return fixed(value, PLAIN_DIGITS);
}

/** P to three decimals, never 0. */
export function probability(p: number): string {
  return p < 0.001 ? '< 0.001' : p.toFixed(3);
}

/** Head of a column or an axis: `difference, mm`. */
export function withUnit(text: string, { name }: FigureUnit): string {
  return name === '' ? text : `${text}, ${name}`;
}

/** Never a zero with a sign. */
function fixed(value: number, digits: number): string {
  const text = value.toFixed(digits);
  return Number(text) === 0 ? text.replace('-', '') : text.replace('-', '−');
}
