import { ArchgapError } from '../geometry/archgap-error.ts';
import { readPlanJson } from '../report/read-plan-json.ts';
import { sha256 } from '../scan/sha256.ts';
import type { CliIo } from './cli-io.ts';
import { readBytes, readDocument } from './read-input.ts';

const PLAN_NAME = 'plan.json';

/**
 * The remark on a plan that stands in a folder beside a result it was not made from: it was left there by an earlier
 * run and looks as if it belonged to the new files.
 *
 * @returns lines for the summary: none where there is no plan, or one of this result
 */
export async function stalePlanNotes(folder: string, io: CliIo): Promise<string[]> {
  const path = io.files.join(folder, PLAN_NAME);
  let made: string | null;
  try {
    made = (await readDocument(io, path, readPlanJson)).resultSha256;
  } catch (fault) {
    if (!(fault instanceof ArchgapError)) throw fault;
    if (fault.code === 'FILE_NOT_FOUND') return [];
    made = null;
  }
  if (made === (await sha256(await readBytes(io, io.files.join(folder, 'result.json'))))) return [];
  return [
    `Note PLAN_OF_EARLIER_RESULT: "${path}" and what belongs to it was not made from the new result.json beside it; plan again, or take it away.`,
  ];
}

/** A refusal to plan, with a word on the plan of an earlier run that still stands in the folder. */
export async function namingStalePlan(fault: unknown, folder: string, io: CliIo): Promise<unknown> {
  if (!(fault instanceof ArchgapError) || fault.kind !== 'input') return fault;
  const path = io.files.join(folder, PLAN_NAME);
  try {
    await io.files.read(path);
  } catch {
    return fault;
  }
  return new ArchgapError(
    fault.kind,
    fault.code,
    `${fault.message} "${path}" is of an earlier run and was left as it is.`,
    { details: fault.details, cause: fault },
  );
}
