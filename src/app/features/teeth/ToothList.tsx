import { createMemo, For, Show } from 'solid-js';
import { formatMmOr } from '../../../report/format-mm.ts';
import { formatTooth, toothSortIndex } from '../../../teeth/notation.ts';
import type { ToothNumber } from '../../../teeth/types.ts';
import { useApp } from '../../kernel/app-context.ts';
import {
  clickedTeeth,
  withFixed,
  withMissing,
  withoutTooth,
  withToothRenumbered,
} from '../../kernel/case-inputs.ts';
import { ToothSelect } from './ToothSelect.tsx';

/** The teeth in arch order, each with its number, marks and a way to remove its clicks. */
export function ToothList() {
  const { controller } = useApp();
  const { inputs } = controller;
  const rows = createMemo(() =>
    [...clickedTeeth(inputs()), ...inputs().missing].sort((a, b) => toothSortIndex(a) - toothSortIndex(b)),
  );
  const gumClicks = () => inputs().clicks.filter((click) => click.tooth === 'gum').length;
  return (
    <div class="table-frame">
      <table class="tooth-table">
        <caption class="visually-hidden">The teeth of this jaw, from the patient’s right to left</caption>
        <thead>
          <tr>
            <th scope="col">Tooth</th>
            <th scope="col" class="number" title="Mesiodistal width of the crown as labelled">
              Width, mm
            </th>
            <th scope="col">Missing</th>
            <th scope="col" title="Must not be moved: implant, bridge unit, ankylosed">
              Fixed
            </th>
            <th scope="col">Clicks</th>
          </tr>
        </thead>
        <tbody>
          <For each={rows()}>{(tooth) => <ToothRow tooth={tooth} />}</For>
          <Show when={gumClicks() > 0}>
            <tr>
              <th scope="row">gum</th>
              <td />
              <td />
              <td />
              <td>
                {gumClicks()} <RemoveButton name="gum" tooth="gum" />
              </td>
            </tr>
          </Show>
        </tbody>
      </table>
    </div>
  );
}

function ToothRow(props: { readonly tooth: ToothNumber }) {
  const { controller, preferences } = useApp();
  const { inputs, results } = controller;
  const name = () => formatTooth(props.tooth, preferences.numbering());
  const missing = () => inputs().missing.includes(props.tooth);
  const clicks = () => inputs().clicks.filter((click) => click.tooth === props.tooth).length;
  const width = () =>
    results.analysis()?.teeth.find((tooth) => tooth.tooth === props.tooth)?.mesiodistalMm ?? null;
  return (
    <tr data-missing={missing()}>
      <th scope="row">
        <Show when={!missing()} fallback={<span class="missing-number">{name()}</span>}>
          <ToothSelect
            label={`Number of tooth ${name()}`}
            value={props.tooth}
            onChange={(to) => controller.change((before) => withToothRenumbered(before, props.tooth, to))}
          />
        </Show>
      </th>
      <td class="number">{missing() ? '' : formatMmOr(width())}</td>
      <td>
        <input
          type="checkbox"
          aria-label={`${name()} is missing`}
          checked={missing()}
          onChange={(event) => {
            const { checked } = event.currentTarget;
            controller.change((before) => withMissing(before, props.tooth, checked));
          }}
        />
      </td>
      <td>
        <Show when={!missing()}>
          <input
            type="checkbox"
            aria-label={`${name()} must not be moved`}
            checked={inputs().fixed.includes(props.tooth)}
            onChange={(event) => {
              const { checked } = event.currentTarget;
              controller.change((before) => withFixed(before, props.tooth, checked));
            }}
          />
        </Show>
      </td>
      <td>
        <Show when={!missing()}>
          {clicks()} <RemoveButton name={name()} tooth={props.tooth} />
        </Show>
      </td>
    </tr>
  );
}

function RemoveButton(props: { readonly name: string; readonly tooth: ToothNumber | 'gum' }) {
  const { controller } = useApp();
  return (
    <button
      type="button"
      class="icon-button"
      aria-label={`Remove the clicks of ${props.name}`}
      title="Remove"
      onClick={() => controller.change((before) => withoutTooth(before, props.tooth))}
    >
      ×
    </button>
  );
}
