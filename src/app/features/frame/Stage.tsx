import { Show } from 'solid-js';
import { InTurn } from '../../components/InTurn.tsx';
import { useApp } from '../../kernel/app-context.ts';
import { withoutClickOrStroke } from '../../kernel/case-inputs.ts';
import { ContactPlot } from '../contacts/ContactPlot.tsx';
import { chooseContact } from '../contacts/choose-contact.ts';
import { paintPiece } from '../teeth/paint-piece.ts';
import { placeClick } from '../teeth/place-click.ts';
import { LazyScanView } from './LazyScanView.tsx';
import { StageJobs } from './StageJobs.tsx';

/** The pinned view of the scan with the contact plot under it. */
export function Stage() {
  const state = useApp();
  const { clickHelp, controller, playback, preferences, worksheet } = state;
  const { results } = controller;
  return (
    <div class="stage">
      <div class="stage-view">
        <LazyScanView
          scan={controller.open()?.display ?? null}
          labels={results.segmentation()?.labels ?? null}
          clicks={controller.inputs().clicks}
          teeth={results.analysis()?.teeth ?? []}
          contacts={results.analysis()?.contacts ?? []}
          selected={results.selected()}
          motions={playback.motions()}
          motionScale={playback.scale()}
          frame={results.segmentation()?.frame ?? null}
          mode={worksheet.mode()}
          numbering={preferences.numbering()}
          onPick={(point, on) => placeClick(state, point, on)}
          onSelectContact={(key) => chooseContact(state, key)}
          onMoveClick={controller.moveClick}
          onRemoveClick={(index) => controller.change((inputs) => withoutClickOrStroke(inputs, index))}
          proposals={clickHelp.proposals()}
          onAcceptProposal={clickHelp.accept}
          onPlaceProposal={clickHelp.place}
          onPaint={(piece) => paintPiece(state, piece)}
          earlier={controller.followUp.overlay()}
          restoration={state.fit.surface()}
          fitMarks={state.fit.marks()}
        />
        <div class="stage-corner">
          <Show when={playback.motions()}>
            <p class="stage-flag">
              Simulated: {playback.span()?.stagesNeeded === playback.stage() ? 'after' : 'during'} the stages
              {playback.exaggeration() > 1
                ? `, motions drawn ${playback.exaggeration()} times too large`
                : ''}
            </p>
          </Show>
          <StageJobs />
        </div>
      </div>
      <div class="stage-plot" data-old={results.analysisIsOld()}>
        <Show when={results.analysis()} fallback={<EmptyPlot />}>
          {(analysis) => (
            <InTurn>
              <ContactPlot
                analysis={analysis()}
                selected={results.selected()}
                onSelect={(key) => chooseContact(state, key)}
                numbering={preferences.numbering()}
              />
            </InTurn>
          )}
        </Show>
      </div>
    </div>
  );
}

/** The place of the plot before there is anything to plot; it keeps its height, so that the view never jumps. */
function EmptyPlot() {
  const { results } = useApp().controller;
  return (
    <div class="stage-plot-empty">
      <Show
        when={results.measureIsStopped() && !results.measureIsRefused()}
        fallback={<p>The contact plot stands here once the contacts are measured.</p>}
      >
        <button type="button" class="button" onClick={() => results.measureAgain()}>
          Measure the contacts now
        </button>
      </Show>
    </div>
  );
}
