/** A figure of a study: millimetres to the micrometre, small ones to 0.1 µm; other units by four digits. */
export function figure(value: number, unit: string): string {
  const text = number(value, unit);
  return unit === '' ? text : `${text} ${unit}`;
}

/** Smaller figures get a fourth decimal, so that two digits are left. */
const FINE_MM = 0.02;

export function number(value: number, unit: string): string {
  const digits = unit === 'mm' ? (Math.abs(value) < FINE_MM ? 4 : 3) : Math.abs(value) < 100 ? 3 : 1;
  const text = value.toFixed(digits);
  return Number(text) === 0 ? text.replace('-', '') : text.replace('-', '−');
}

/** P to three decimals, never 0. */
export function probability(p: number): string {
  return p < 0.001 ? '< 0.001' : p.toFixed(3);
}

/** Head of a column or an axis: `difference, mm`. */
export function withUnit(text: string, unit: string): string {
  return unit === '' ? text : `${text}, ${unit}`;
}
