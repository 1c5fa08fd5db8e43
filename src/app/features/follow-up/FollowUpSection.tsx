import { For, Show } from 'solid-js';
import { changesHeadline } from '../../../report/change-words.ts';
import { alignmentSentence } from '../../../report/compare-html.ts';
import { sentenceIn } from '../../../teeth/sentence-in.ts';
import { Cautions } from '../../components/Cautions.tsx';
import { JobLine } from '../../components/JobLine.tsx';
import { KeptPairs } from '../../components/KeptPairs.tsx';
import { Meanings } from '../../components/Meanings.tsx';
import { TakenOverScanner } from '../../components/TakenOverScanner.tsx';
import { WorksheetSection } from '../../components/WorksheetSection.tsx';
import { useApp } from '../../kernel/app-context.ts';
import { counted } from '../../kernel/words.ts';
import { ChangeFiles } from './ChangeFiles.tsx';
import { ChangeTable } from './ChangeTable.tsx';
import { FadeField } from './FadeField.tsx';
import { HistoryPlots } from './HistoryPlots.tsx';
import { NextScanPart } from './NextScanPart.tsx';
import { ScansPart } from './ScansPart.tsx';
import './follow-up.css';

/** What the columns of the change table say. */
const MEANINGS: readonly (readonly [string, string])[] = [
  [
    'Change',
    'The new space less the earlier one, ± the expanded uncertainty of both scans together (k = 2); minus means nearer. Two scans by one scanner with stated terms share its systematic part; all others count as made by two scanners, which is the larger uncertainty. Where a scan shows only a bound, the least and the greatest change that both scans allow.',
  ],
  [
    'crowns',
    'How far the two whole crowns moved towards each other (minus) or apart, from the shapes of the crowns alone; it needs no wall.',
  ],
  [
    'plan',
    'In brackets the space that the plan of the earlier scan expected after its stages; then the share of that closure that is seen.',
  ],
  ['≤', 'A web of the scan runs across: the largest space that could hide there, never a measurement.'],
  ['No words under a row', 'No change was seen.'],
  [
    'bridged now, undecided now',
    'Was open; the new scan runs across the contact or cannot tell it from the limit. Check it with floss or a strip.',
  ],
];

/** The next scan of the arch against the earlier ones: what became of every contact, and of the plan. */
export function FollowUpSection() {
  const { controller, worksheet, preferences } = useApp();
  const { followUp } = controller;
  const state = () => {
    const found = followUp.comparison();
    if (found) {
      const changed = found.changes.filter(
        ({ kind }) => kind !== 'unchanged' && kind !== 'not-comparable',
      ).length;
      // Not the earlier scan's name: a long one would cut the line off, and it stands under Scans of this arch.
      return `${changed} of ${counted(found.changes.length, 'contact', 'contacts')} changed`;
    }
    if (controller.earlier().length === 0) return 'for the next scan of this patient';
    return followUp.isStopped() ? 'not compared' : 'waits for the measurements …';
  };
  return (
    <WorksheetSection
      number={6}
      title="Follow-up"
      state={state()}
      tone={followUp.comparison() ? 'done' : followUp.isStopped() ? 'attention' : 'empty'}
      open={worksheet.isOpen('follow-up')}
      onToggle={(open) => worksheet.setOpen('follow-up', open)}
    >
      <JobLine job={followUp.job} cancellable />
      <Show when={followUp.isStopped()}>
        <div class="button-row">
          <button type="button" class="button" onClick={() => followUp.tryAgain()}>
            Compare now
          </button>
        </div>
      </Show>
      <Show when={followUp.comparison()}>
        {(found) => (
          <div class="results">
            <p class="headline">
              <KeptPairs sentence={changesHeadline(found().changes, preferences.numbering())} />
            </p>
            <p class="small">
              {alignmentSentence(found())}
              {planSentence(found().plan)}
            </p>
            <Show when={found().alignment}>
              <FadeField />
            </Show>
            <For each={found().warnings}>
              {(warning) => <p class="warning-line">{sentenceIn(warning, preferences.numbering())}</p>}
            </For>
            <TakenOverScanner />
            <ChangeTable changes={found().changes} />
            <Meanings title="What the columns mean" entries={MEANINGS} />
            <HistoryPlots history={followUp.history()} limitMm={controller.inputs().limitMm} />
            <ChangeFiles />
          </div>
        )}
      </Show>
      <ScansPart />
      <NextScanPart />
      <Show when={followUp.comparison()}>
        <Cautions about="comparison" />
      </Show>
    </WorksheetSection>
  );
}

function planSentence(plan: { readonly span: { readonly stages: number | null } | null } | null): string {
  if (!plan?.span) return ' The earlier scan had no proposal to hold it against.';
  return ` Held against the proposal of the earlier scan${plan.span.stages === null ? '' : ` (${counted(plan.span.stages, 'stage', 'stages')})`}.`;
}
