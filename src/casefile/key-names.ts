/** Plain data as JSON holds it. */
export type Json = null | boolean | number | string | readonly Json[] | { readonly [key: string]: Json };

/** A field, or a place made of fields and dots, as files call it. */
export const toSnake = (key: string): string => key.replace(/[A-Z]/g, (letter) => `_${letter.toLowerCase()}`);
const toCamel = (key: string): string =>
  key.replace(/_([a-z])/g, (_, letter: string) => letter.toUpperCase());

/** The same data with the field names that files use: `perStageMm` becomes `per_stage_mm`. */
export function withFileNames(value: Json): Json {
  return renamed(value, toSnake);
}

/** The same data with the field names that the program uses. Own fields only; nothing of it reaches a prototype. */
export function withProgramNames(value: Json): Json {
  return renamed(value, toCamel);
}

/** Nothing of ours is nested deeper; what is would only exhaust the stack. */
const DEEPEST = 16;

function renamed(value: Json, rename: (key: string) => string, depth = 0): Json {
  if (typeof value !== 'object' || value === null) return value;
  if (depth > DEEPEST) return null;
  const within = (item: Json) => renamed(item, rename, depth + 1);
  if (Array.isArray(value)) return value.map(within);
  return Object.fromEntries(Object.entries(value).map(([key, item]) => [rename(key), within(item)]));
}
