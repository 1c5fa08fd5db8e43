import { Show } from 'solid-js';
import type { Contact } from '../../../contacts/types.ts';
import { contactsHeadline } from '../../../report/answer-words.ts';
import { STATUS_WORDS, statusWords } from '../../../report/contact-words.ts';
import { Cautions } from '../../components/Cautions.tsx';
import { InTurn } from '../../components/InTurn.tsx';
import { JobLine } from '../../components/JobLine.tsx';
import { KeptPairs } from '../../components/KeptPairs.tsx';
import { Meanings } from '../../components/Meanings.tsx';
import { WorksheetSection } from '../../components/WorksheetSection.tsx';
import { useApp } from '../../kernel/app-context.ts';
import { clickedTeeth } from '../../kernel/case-inputs.ts';
import { COLUMN_MEANINGS } from '../../kernel/words.ts';
import { ArchMap } from './ArchMap.tsx';
import { ContactDetail } from './ContactDetail.tsx';
import { ContactTable } from './ContactTable.tsx';
import { LimitField } from './LimitField.tsx';
import { ScannerBox } from './ScannerBox.tsx';
import { SizesPart } from './SizesPart.tsx';
import { statusMeanings } from './status-meanings.ts';
import { UnclickedLine } from './UnclickedLine.tsx';

/** The space at every contact, its interval, and the decision against the limit. */
export function ContactsSection() {
  const { controller, worksheet, preferences } = useApp();
  const { results } = controller;
  const stopped = results.measureIsStopped;

  const state = () => {
    if (results.measureIsDue()) return 'measuring …';
    const analysis = results.analysis();
    if (results.jobs.measure.state().kind === 'failed') return 'could not be measured';
    if (results.jobs.segment.state().kind === 'running') return 'waits for the teeth …';
    if (results.analysisIsOld()) return 'of earlier clicks';
    if (!analysis && clickedTeeth(controller.inputs()).length === 1) return 'needs a second tooth';
    if (!analysis) return results.segmentation() ? 'not measured' : 'needs the teeth';
    return countStatuses(analysis.contacts);
  };
  const whyNone = () => {
    if (results.measureIsRefused())
      return 'The contacts are measured as soon as what is said above is put right.';
    if (stopped()) return 'The teeth are told apart; their contacts are not measured.';
    return 'The contacts are measured as soon as the teeth are clicked.';
  };
  const attention = () =>
    (stopped() ||
      results.analysis()?.contacts.some(({ status }) => status === 'open' || status === 'undecided')) ??
    false;

  return (
    <WorksheetSection
      number={3}
      title="Contacts"
      state={state()}
      tone={attention() ? 'attention' : results.analysis() ? 'done' : 'empty'}
      open={worksheet.isOpen('contacts')}
      onToggle={(open) => worksheet.setOpen('contacts', open)}
    >
      <JobLine job={results.jobs.measure} cancellable />
      <Show when={stopped() && !results.measureIsRefused()}>
        <div class="button-row">
          <button type="button" class="button" onClick={() => results.measureAgain()}>
            Measure now
          </button>
        </div>
      </Show>
      <Show when={results.analysisIsOld()}>
        <p class="quiet small">The table belongs to earlier clicks or another scanner.</p>
      </Show>
      <Show when={results.analysis()} fallback={<p class="quiet small">{whyNone()}</p>}>
        {(analysis) => (
          <div class="results" data-old={results.analysisIsOld()}>
            <p class="headline">
              <KeptPairs sentence={contactsHeadline(analysis(), preferences.numbering())} />
            </p>
            <UnclickedLine analysis={analysis()} />
            <LimitField />
            <ContactTable analysis={analysis()} />
            <Meanings
              title="What columns and statuses mean"
              entries={[...COLUMN_MEANINGS, ...statusMeanings(analysis().contacts)]}
            />
            <ContactDetail />
            <InTurn>
              <details class="map-part">
                <summary>Map of the arch</summary>
                <ArchMap analysis={analysis()} />
              </details>
              <SizesPart analysis={analysis()} />
              <ScannerBox />
              <Cautions about="measurements" />
            </InTurn>
          </div>
        )}
      </Show>
    </WorksheetSection>
  );
}

/** `2 open, 1 undecided, 10 bridged`. */
function countStatuses(contacts: readonly Contact[]): string {
  const order = Object.keys(STATUS_WORDS);
  const place = ({ status }: Contact) => order.indexOf(status);
  const words = [...contacts].sort((a, b) => place(a) - place(b)).map(statusWords);
  return [...new Set(words)]
    .map((word) => `${words.filter((one) => one === word).length} ${word}`)
    .join(', ');
}
