import { For } from 'solid-js';
import { Dynamic } from 'solid-js/web';
import { FaultBoundary } from '../../components/FaultBoundary.tsx';
import { useApp } from '../../kernel/app-context.ts';
import { ClosureSection } from '../closure/ClosureSection.tsx';
import { ContactsSection } from '../contacts/ContactsSection.tsx';
import { FitSection } from '../fit/FitSection.tsx';
import { FollowUpSection } from '../follow-up/FollowUpSection.tsx';
import { RecordSection } from '../record/RecordSection.tsx';
import { ScanSection } from '../scan/ScanSection.tsx';
import { TeethSection } from '../teeth/TeethSection.tsx';

const SECTIONS = [
  { part: 'The section Scan', section: ScanSection },
  { part: 'The section Teeth', section: TeethSection },
  { part: 'The section Contacts', section: ContactsSection },
  { part: 'The section Closure', section: ClosureSection },
  { part: 'The section Record', section: RecordSection },
  { part: 'The section Follow-up', section: FollowUpSection },
  { part: 'The section Restoration', section: FitSection },
];

/** The worksheet: read and filled from top to bottom, any section open to be changed. */
export function WorksheetPane() {
  const { jobs } = useApp().controller.results;
  /** For whoever looks at a failure: what every job was doing. */
  const jobStates = () =>
    Object.entries(jobs)
      .map(([name, job]) => `${name}:${job.state().kind}`)
      .join(' ');
  return (
    <div class="worksheet" id="worksheet" tabindex="-1" data-jobs={jobStates()}>
      <For each={SECTIONS}>
        {({ part, section }) => (
          <FaultBoundary part={part}>
            <Dynamic component={section} />
          </FaultBoundary>
        )}
      </For>
    </div>
  );
}
