/**
 * Switches of the JavaScript engine for a batch that has a thread on every core: what the engine does beside them is
 * taken from the scans (docs/decisions/0009-engine-switches-of-the-batch.md has the figures).
 *
 * - A function is compiled after four times the usual work: of what a scan needs once, less is compiled at all.
 * - The heap is cleared at four times what was alive. The typed arrays of a scan made the engine clear it some six
 *   times, each time walking through all that is alive.
 *
 * Neither results nor what is measured depend on them.
 *
 * @param engine - `process.versions.v8`
 * @returns none for engines on which they were not measured: these keep their own
 */
export function engineFlags(engine: string): readonly string[] {
  if (!engine.startsWith('11.3.')) return [];
  return ['--interrupt-budget=270000', '--heap-growing-percent=300'];
}
