import { Show } from 'solid-js';
import { listWords } from '../../../report/contact-words.ts';
import { formatTooth } from '../../../teeth/notation.ts';
import { errorIn } from '../../../teeth/sentence-in.ts';
import { ErrorLine } from '../../components/ErrorLine.tsx';
import { JobLine } from '../../components/JobLine.tsx';
import { WorksheetSection } from '../../components/WorksheetSection.tsx';
import { useApp } from '../../kernel/app-context.ts';
import { clickedTeeth, unexplainedGaps, withoutClicks } from '../../kernel/case-inputs.ts';
import { counted } from '../../kernel/words.ts';
import { ArchStrip } from './ArchStrip.tsx';
import { ClickControls } from './ClickControls.tsx';
import { ClickHelpBox } from './ClickHelpBox.tsx';
import { GapQuestion } from './GapQuestion.tsx';
import { TeethWarnings } from './TeethWarnings.tsx';
import { ToothList } from './ToothList.tsx';
import { ToothQuestionBox } from './ToothQuestionBox.tsx';

/** More teeth without a click are counted, not named. */
const MOST_NAMED = 3;

/** Which part of the scan is which tooth: one click each, the numbers follow. */
export function TeethSection() {
  const { clickHelp, controller, preferences, worksheet } = useApp();
  const { inputs, results } = controller;
  const teeth = () => clickedTeeth(inputs());
  const clear = () => {
    controller.change(withoutClicks);
    worksheet.setQuestion(null);
    worksheet.setMode('click-tooth');
    worksheet.setOpen('teeth', true);
  };

  const state = () => {
    if (!controller.open()) return 'needs a scan';
    if (inputs().jaw === null) return 'which jaw is it?';
    if (teeth().length === 0) return `${inputs().jaw} jaw, no tooth clicked yet`;
    if (results.jobs.segment.state().kind === 'failed') return 'the teeth could not be told apart';
    const missing = inputs().missing.length;
    const gaps = unexplainedGaps(inputs());
    const row = counted(teeth().length, 'tooth', 'teeth');
    const lacking = missing > 0 ? `, ${missing} missing` : '';
    if (gaps.length > MOST_NAMED) return `${row}${lacking}, ${gaps.length} not clicked`;
    if (gaps.length > 0) {
      const names = gaps.map((tooth) => formatTooth(tooth, preferences.numbering()));
      return `${row}${lacking}, ${listWords(names)} not clicked`;
    }
    return `${row}${lacking || ', none missing'}`;
  };
  const waits = () =>
    results.jobs.segment.state().kind === 'failed' ||
    teeth().length === 0 ||
    unexplainedGaps(inputs()).length > 0 ||
    worksheet.question() !== null;

  return (
    <WorksheetSection
      number={2}
      title="Teeth"
      state={state()}
      tone={!controller.open() ? 'empty' : waits() ? 'attention' : 'done'}
      open={worksheet.isOpen('teeth')}
      onToggle={(open) => worksheet.setOpen('teeth', open)}
    >
      <Show when={controller.open()} fallback={<p class="quiet small">Open a scan first.</p>}>
        <ClickControls />
        <Show when={inputs().jaw}>
          <ArchStrip />
          <Show when={controller.refusal()}>
            {(error) => (
              <ErrorLine
                sentence={`The click was taken back: ${errorIn(error(), preferences.numbering())}`}
              />
            )}
          </Show>
          <ToothQuestionBox />
          <ClickHelpBox />
          <Show when={clickHelp.proposals().length === 0}>
            <GapQuestion />
          </Show>
          <JobLine job={results.jobs.segment} />
          <TeethWarnings />
          <Show when={inputs().clicks.length > 0 || inputs().missing.length > 0}>
            <ToothList />
            <div class="button-row">
              <button type="button" class="button" onClick={clear}>
                Clear all clicks
              </button>
              <span class="quiet small">The scan stays; Undo brings the clicks back.</span>
            </div>
          </Show>
        </Show>
      </Show>
    </WorksheetSection>
  );
}
