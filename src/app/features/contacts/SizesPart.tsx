import { For } from 'solid-js';
import type { Analysis } from '../../../contacts/types.ts';
import { indexRows, sizeWords } from '../../../report/report-sizes.ts';
import { formatTooth } from '../../../teeth/notation.ts';
import { Meanings } from '../../components/Meanings.tsx';
import { useApp } from '../../kernel/app-context.ts';
import { SIZE_MEANINGS } from '../../kernel/words.ts';
import { BoltonPart } from '../cases/BoltonPart.tsx';

/** Sizes of the crowns and numbers about the whole arch, folded away. */
export function SizesPart(props: { readonly analysis: Analysis }) {
  const { preferences } = useApp();
  return (
    <details class="sizes-part">
      <summary>Sizes and indices</summary>
      <div class="table-scroll">
        <table class="sizes-table">
          <thead>
            <tr>
              <th scope="col">Index</th>
              <th scope="col" class="number">
                Value
              </th>
              <th scope="col">Class or reason</th>
            </tr>
          </thead>
          <tbody>
            <For each={indexRows(props.analysis)}>
              {(row) => (
                <tr>
                  <td>{row.name}</td>
                  <td class="number">{row.value}</td>
                  <td>{row.remark}</td>
                </tr>
              )}
            </For>
          </tbody>
        </table>
        <table class="sizes-table">
          <thead>
            <tr>
              <th scope="col">Tooth</th>
              <th scope="col" class="number">
                Mesiodistal, mm
              </th>
              <th scope="col" class="number">
                Buccolingual, mm
              </th>
              <th scope="col" class="number">
                Above the gum, mm
              </th>
            </tr>
          </thead>
          <tbody>
            <For each={props.analysis.teeth}>
              {(record) => (
                <tr>
                  <td>{formatTooth(record.tooth, preferences.numbering())}</td>
                  <td class="number">
                    {sizeWords(record.mesiodistalMm, record.sizesU95Mm?.mesiodistal ?? null)}
                  </td>
                  <td class="number">
                    {sizeWords(record.buccolingualMm, record.sizesU95Mm?.buccolingual ?? null)}
                  </td>
                  <td class="number">
                    {sizeWords(record.crownHeightMm, record.sizesU95Mm?.crownHeight ?? null)}
                  </td>
                </tr>
              )}
            </For>
          </tbody>
        </table>
        <BoltonPart analysis={props.analysis} />
      </div>
      <Meanings
        title="Definitions, sources and uncertainty"
        entries={[
          ...SIZE_MEANINGS,
          ...indexRows(props.analysis).map((row) => [row.name, row.definition] as const),
        ]}
      />
    </details>
  );
}
