import { Show } from 'solid-js';
import { FilePicker } from '../../components/FilePicker.tsx';
import { InTurn } from '../../components/InTurn.tsx';
import { JobLine } from '../../components/JobLine.tsx';
import { WorksheetSection } from '../../components/WorksheetSection.tsx';
import { useApp } from '../../kernel/app-context.ts';
import { counted } from '../../kernel/words.ts';
import { ArchesPart } from '../cases/ArchesPart.tsx';
import { SaveCasePart } from '../cases/SaveCasePart.tsx';
import { StoredCases } from '../cases/StoredCases.tsx';
import { HealthFindings } from './HealthFindings.tsx';
import { ScanFactsTable } from './ScanFactsTable.tsx';
import { UnitChoice } from './UnitChoice.tsx';

/** Which file, which unit, what the checks of the mesh found. */
export function ScanSection() {
  const { controller, worksheet, takeFiles } = useApp();
  const facts = () => controller.open()?.facts ?? null;
  const warnings = () =>
    facts()?.health.findings.filter((finding) => finding.severity === 'warning').length ?? 0;
  const busy = () => controller.openJob.state().kind === 'running';

  const state = () => {
    const known = facts();
    if (busy()) return 'reading …';
    if (!known) return 'no scan open';
    const size = counted(known.health.triangles, 'triangle', 'triangles');
    if (!known.source.unit.sure) return `${size}, check the unit`;
    return warnings() > 0 ? `${size}, ${counted(warnings(), 'finding', 'findings')}` : size;
  };

  return (
    <WorksheetSection
      number={1}
      title="Scan"
      state={state()}
      tone={facts() ? (facts()?.source.unit.sure ? 'done' : 'attention') : 'attention'}
      open={worksheet.isOpen('scan')}
      onToggle={(open) => worksheet.setOpen('scan', open)}
    >
      <div class="button-row">
        <FilePicker onFiles={takeFiles}>{facts() ? 'Open another scan …' : 'Choose a scan …'}</FilePicker>
        <button type="button" class="button" disabled={busy()} onClick={() => controller.openDemo()}>
          Open the demo case
        </button>
        <Show when={controller.open()}>
          <button type="button" class="button" onClick={() => controller.closeCase()}>
            Close this case
          </button>
        </Show>
      </div>
      {/* A failure is told at the head of the page; before a scan is open, the welcome beside says all. */}
      <Show when={controller.open() !== null && busy()}>
        <JobLine job={controller.openJob} cancellable />
      </Show>
      <Show when={controller.open()?.demo}>
        <p class="demo-line">Demo: an invented patient of an invented practice, made by a generator.</p>
      </Show>
      <Show
        when={facts()}
        fallback={
          <p class="quiet small">
            An intraoral scan of one jaw, STL or PLY, or a case file. Drop it anywhere on this page, the upper
            and the lower scan together if you have both; it stays on this device.
          </p>
        }
      >
        {(known) => (
          <>
            <ScanFactsTable facts={known()} />
            <UnitChoice facts={known()} />
            <HealthFindings health={known().health} />
            <InTurn>
              <ArchesPart />
              <SaveCasePart />
            </InTurn>
          </>
        )}
      </Show>
      <StoredCases />
    </WorksheetSection>
  );
}
