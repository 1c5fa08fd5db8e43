/**
 * Digits in groups of three: 4,294,967,295. Not by the engine's formatter of numbers: the first use of that reads the
 * tables of all languages, which holds up the page where memory is dear.
 *
 * @param count - whole, not negative
 */
export function formatCount(count: number): string {
  return String(count).replace(/\B(?=(?:\d{3})+$)/g, ',');
}
