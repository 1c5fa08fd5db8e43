/**
 * Switches of the JavaScript engine for a batch, where all cores are busy with scans and what the engine does beside
 * them is taken from them (docs/decisions/0009-engine-switches-of-the-batch.md has the figures):
 *
 * - a function is compiled after sixteen times the usual work: of what a scan needs once, less is compiled at all;
 * - less of other functions is compiled into each;
 * - the heap is cleared when there is eight times as much as was alive, not at twice to four times: the typed arrays
 *   of a scan cause some six clearings, each of which walks through all that is alive.
 *
 * Neither results nor what is measured depend on them.
 *
 * @param engine - `process.versions.v8`
 * @returns none for engines on which they were not measured: these keep their own
 */
export function engineFlags(engine: string): readonly string[] {
  if (!engine.startsWith('11.3.')) return [];
  return [
    '--interrupt-budget=1081344',
    '--max-inlined-bytecode-size-cumulative=200',
    '--heap-growing-percent=700',
  ];
}
