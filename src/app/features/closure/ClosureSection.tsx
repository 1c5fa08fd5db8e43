import { Show } from 'solid-js';
import { hasSomethingToClose } from '../../../closure/ordered-outcome.ts';
import { Cautions } from '../../components/Cautions.tsx';
import { InTurn } from '../../components/InTurn.tsx';
import { JobLine } from '../../components/JobLine.tsx';
import { WorksheetSection } from '../../components/WorksheetSection.tsx';
import { useApp } from '../../kernel/app-context.ts';
import { ClosureSettingsFields } from './ClosureSettingsFields.tsx';
import { MotionMap } from './MotionMap.tsx';
import { OpposingSlot } from './OpposingSlot.tsx';
import { PlanAnswerBox } from './PlanAnswerBox.tsx';
import { SpanDetail } from './SpanDetail.tsx';
import { SpanMatrix } from './SpanMatrix.tsx';
import { StagePlayer } from './StagePlayer.tsx';
import { shortAnswer } from './short-answer.ts';

/** What tightening over each span would do to every contact of the arch; the proposal and its reasons. */
export function ClosureSection() {
  const { controller, playback, worksheet, preferences } = useApp();
  const { results } = controller;
  const answer = () => {
    const plan = results.plan();
    return plan ? shortAnswer(plan, preferences.numbering()) : null;
  };
  const failed = () => (results.jobs.plan.state().kind === 'failed' ? 'no plan could be made' : null);
  const attention = () => results.plan()?.answer !== 'none-needed';

  return (
    <WorksheetSection
      number={4}
      title="Closure"
      state={answer() ?? failed() ?? (results.analysis() ? 'trying the spans …' : 'needs the contacts')}
      tone={results.plan() ? (attention() ? 'attention' : 'done') : 'empty'}
      open={worksheet.isOpen('closure')}
      onToggle={(open) => worksheet.setOpen('closure', open)}
    >
      <Show
        when={results.analysis()}
        fallback={<p class="quiet small">The spans are tried as soon as the contacts are measured.</p>}
      >
        <JobLine job={results.jobs.plan} />
        <JobLine job={results.jobs.check} />
        <Show when={results.plan()}>
          {(plan) => (
            <div class="results" data-old={results.planIsOld()}>
              <PlanAnswerBox plan={plan()} />
              <Show when={hasSomethingToClose(plan())}>
                <SpanMatrix plan={plan()} />
                <StagePlayer />
              </Show>
              <Show when={results.analysis()}>
                {(analysis) => (
                  <Show when={playback.span()}>
                    {(span) => <MotionMap analysis={analysis()} span={span()} />}
                  </Show>
                )}
              </Show>
              <SpanDetail />
            </div>
          )}
        </Show>
        <InTurn>
          <OpposingSlot />
          <ClosureSettingsFields />
          <Cautions about="plan" />
        </InTurn>
      </Show>
    </WorksheetSection>
  );
}
