import { CAUTIONS, MEASURING_CAUTIONS } from '../../report/cautions.ts';

/** Stands beside every result. */
export function Cautions(props: {
  /** Only what was measured stands here, no proposal. */
  readonly withoutPlan?: boolean;
}) {
  return <p class="cautions">{(props.withoutPlan ? MEASURING_CAUTIONS : CAUTIONS).join(' ')}</p>;
}
