import type { CaseController } from '../../kernel/create-case.ts';
import { printReport } from '../../platform/print-report.ts';

/** The record says what the worksheet says: contacts and plan are those of the present inputs. */
export function recordIsReady({ results }: CaseController): boolean {
  return (
    results.analysis() !== null &&
    !results.analysisIsOld() &&
    !results.planIsOld() &&
    results.jobs.plan.state().kind !== 'running'
  );
}

/** Prints the report of the open case, as the button under Record does. */
export async function printRecord(controller: CaseController): Promise<void> {
  const file = await controller.writeFile('report-html');
  if (file) printReport(new TextDecoder().decode(file.bytes));
}
