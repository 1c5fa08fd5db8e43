import { createMemo, Show } from 'solid-js';
import { boltonRatios } from '../../../contacts/bolton.ts';
import type { Analysis } from '../../../contacts/types.ts';
import { boltonRows } from '../../../report/report-sizes.ts';
import { FactTable } from '../../components/FactTable.tsx';
import { JobLine } from '../../components/JobLine.tsx';
import { useApp } from '../../kernel/app-context.ts';
import { clickSetOf } from '../../kernel/case-inputs.ts';

/** Tooth widths of the two arches of the case against each other; nothing while there is only one. */
export function BoltonPart(props: { readonly analysis: Analysis }) {
  const { controller } = useApp();
  const rows = createMemo(() => {
    const other = controller.other()?.analysis;
    if (!other || other.jaw === props.analysis.jaw) return null;
    const [upper, lower] = props.analysis.jaw === 'upper' ? [props.analysis, other] : [other, props.analysis];
    return boltonRows(boltonRatios(upper, lower));
  });
  return (
    <Show when={controller.other()}>
      {(other) => (
        <>
          <h3 class="sub-heading">Widths of both arches (Bolton)</h3>
          <Show
            when={rows()}
            fallback={
              <Show
                when={clickSetOf(other().history.present)}
                fallback={
                  <p class="small quiet">
                    Click the teeth of {other().fileName} too (under Scan: work on this arch), and the ratios
                    stand here.
                  </p>
                }
              >
                <button
                  type="button"
                  class="button small"
                  disabled={controller.otherJob.state().kind === 'running'}
                  onClick={() => void controller.measureOther()}
                >
                  Measure {other().fileName} for this
                </button>
              </Show>
            }
          >
            {(known) => (
              <>
                <FactTable
                  class="sizes-table"
                  columns={[
                    { title: 'Ratio' },
                    { title: 'Value', number: true },
                    { title: 'Excess or reason' },
                  ]}
                  rows={known().map(({ name, value, remark }) => [name, value, remark])}
                />
                <p class="small quiet">{known()[0]?.definition}</p>
              </>
            )}
          </Show>
          <JobLine job={controller.otherJob} cancellable />
        </>
      )}
    </Show>
  );
}
