import { CAUTIONS } from '../../report/cautions.ts';

/** Stands beside every result. */
export function Cautions() {
  return (
    <aside class="cautions" aria-label="Cautions">
      <p>{CAUTIONS.join(' ')}</p>
    </aside>
  );
}
