import { ClosureSection } from '../closure/ClosureSection.tsx';
import { ContactsSection } from '../contacts/ContactsSection.tsx';
import { FollowUpSection } from '../follow-up/FollowUpSection.tsx';
import { RecordSection } from '../record/RecordSection.tsx';
import { ScanSection } from '../scan/ScanSection.tsx';
import { TeethSection } from '../teeth/TeethSection.tsx';

/** The worksheet: read and filled from top to bottom, any section open to be changed. */
export function WorksheetPane() {
  return (
    <div class="worksheet" id="worksheet" tabindex="-1">
      <ScanSection />
      <TeethSection />
      <ContactsSection />
      <ClosureSection />
      <RecordSection />
      <FollowUpSection />
    </div>
  );
}
