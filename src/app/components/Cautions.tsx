import { CAUTIONS } from '../../report/cautions.ts';

/** Stands beside every result. */
export function Cautions() {
  return <p class="cautions">{CAUTIONS.join(' ')}</p>;
}
