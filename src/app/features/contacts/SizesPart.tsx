import type { Analysis } from '../../../contacts/types.ts';
import { indexRows, sizeWords } from '../../../report/report-sizes.ts';
import { formatTooth } from '../../../teeth/notation.ts';
import { FactTable } from '../../components/FactTable.tsx';
import { Meanings } from '../../components/Meanings.tsx';
import { useApp } from '../../kernel/app-context.ts';
import { SIZE_MEANINGS } from '../../kernel/words.ts';
import { BoltonPart } from '../cases/BoltonPart.tsx';

/** Sizes of the crowns and numbers about the whole arch, folded away. */
export function SizesPart(props: { readonly analysis: Analysis }) {
  const { preferences } = useApp();
  const sizesOf = (record: Analysis['teeth'][number]) => {
    const { tooth, mesiodistalMm, buccolingualMm, crownHeightMm, sizesU95Mm: u95 } = record;
    return [
      formatTooth(tooth, preferences.numbering()),
      sizeWords(mesiodistalMm, u95?.mesiodistal ?? null),
      sizeWords(buccolingualMm, u95?.buccolingual ?? null),
      sizeWords(crownHeightMm, u95?.crownHeight ?? null),
    ];
  };
  return (
    <details class="sizes-part">
      <summary>Sizes and indices</summary>
      <div class="table-scroll">
        <FactTable
          class="sizes-table"
          columns={[{ title: 'Index' }, { title: 'Value', number: true }, { title: 'Class or reason' }]}
          rows={indexRows(props.analysis).map(({ name, value, remark }) => [name, value, remark])}
        />
        <FactTable
          class="sizes-table"
          columns={[
            { title: 'Tooth' },
            ...['Mesiodistal, mm', 'Buccolingual, mm', 'Above the gum, mm'].map((title) => ({
              title,
              number: true,
            })),
          ]}
          rows={props.analysis.teeth.map(sizesOf)}
        />
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
