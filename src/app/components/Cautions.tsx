import { COMPARING_CAUTIONS, MEASURING_CAUTIONS, PLAN_CAUTIONS } from '../../report/cautions.ts';

const LISTS = {
  measurements: MEASURING_CAUTIONS,
  plan: PLAN_CAUTIONS,
  comparison: COMPARING_CAUTIONS,
} as const;

/** Stands beside every result, with what concerns it. */
export function Cautions(props: { readonly about: keyof typeof LISTS }) {
  return <p class="cautions">{LISTS[props.about].join(' ')}</p>;
}
