import { For } from 'solid-js';
import type { GapEstimate } from '../../../contacts/types.ts';
import { formatU95 } from '../../../report/format-mm.ts';

/** Which term of the budget weighs how much. */
export function UncertaintyTerms(props: { readonly gap: GapEstimate }) {
  const variance = () => props.gap.terms.reduce((sum, term) => sum + term.standardMm ** 2, 0);
  const share = (standardMm: number) =>
    variance() > 0 ? Math.round((100 * standardMm ** 2) / variance()) : 0;
  return (
    <details class="terms">
      <summary>Where ± {formatU95(props.gap.u95Mm)} mm comes from</summary>
      <table class="terms-table">
        <thead>
          <tr>
            <th scope="col">Term</th>
            <th scope="col" class="number">
              u, mm
            </th>
            <th scope="col" class="number">
              Share
            </th>
          </tr>
        </thead>
        <tbody>
          <For each={props.gap.terms}>
            {(term) => (
              <tr>
                <td>
                  {term.name} <span class="quiet">(type {term.type})</span>
                  <span class="term-source">{term.source}</span>
                </td>
                <td class="number">{term.standardMm.toFixed(3)}</td>
                <td class="number">{share(term.standardMm)} %</td>
              </tr>
            )}
          </For>
        </tbody>
      </table>
      <p class="small quiet">
        Type A: computed from this scan; type B: a stated default. Standard uncertainties add as squares; the
        interval is twice their root (k = 2).
      </p>
    </details>
  );
}
