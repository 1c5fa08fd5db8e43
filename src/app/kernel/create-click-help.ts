import { type Accessor, createEffect, createMemo, createSignal, on, onCleanup } from 'solid-js';
import type { Vec3 } from '../../geometry/types.ts';
import { distance } from '../../geometry/vec3.ts';
import { firstClicks } from '../../teeth/occlusal-frame.ts';
import { type ClickHelp, type ClickProposal, FEWEST_CLICKED } from '../../teeth/propose-clicks.ts';
import type { ClickSet, ToothNumber } from '../../teeth/types.ts';
import type { AnalysisClient } from './analysis-client.ts';
import { clickedTeeth, clickSetOf } from './case-inputs.ts';
import type { CaseController } from './create-case.ts';
import { createJob, type Job } from './create-job.ts';
import type { Results } from './create-results.ts';
import type { Preferences } from './preferences.ts';
import type { Worksheet } from './worksheet.ts';

/** Rest after a click before places are proposed, ms: the first answer to the click itself comes first. */
const PROPOSE_REST_MS = 250;
/** Of an arch of which so many teeth are clicked the table is waited for first: the places come after it. */
const MANY_CLICKED = 8;
/** A click this near to a proposed place is for that tooth, mm. */
const SAME_PLACE_MM = 3;

/** What places follow from. */
interface Asked {
  readonly scan: string;
  readonly set: ClickSet;
}

const NO_HELP: ClickHelp = { proposals: [], questions: [] };

/** Help with the clicks: proposed places, of which none counts before the user accepts it. */
export interface ClickHelper {
  readonly job: Job;
  /** Places of teeth that are neither clicked nor missing, while help is wanted. */
  readonly proposals: Accessor<readonly ClickProposal[]>;
  readonly questions: Accessor<ClickHelp['questions']>;
  /** One click for every proposal, as one step. */
  acceptAll(): void;
  accept(tooth: ToothNumber): void;
  /** Accepts a tooth at another place. */
  place(tooth: ToothNumber, point: Vec3): void;
  /** The proposed tooth that a click at this place most likely means, or null. */
  toothAt(point: Vec3): ToothNumber | null;
  /** Takes the proposals off until the next click. */
  dismiss(): void;
}

export interface ClickHelpSources {
  readonly client: AnalysisClient;
  readonly controller: CaseController;
  readonly worksheet: Worksheet;
  readonly preferences: Preferences;
}

export function createClickHelp({
  client,
  controller,
  worksheet,
  preferences,
}: ClickHelpSources): ClickHelper {
  const { inputs } = controller;
  const job = createJob();
  const [help, setHelp] = createSignal(NO_HELP);
  /** What the proposals were made from. */
  let madeFor: Asked | null = null;
  const wanted = createMemo(() => preferences.clickHelp() && worksheet.mode() === 'click-tooth');
  const scanId = createMemo(() => controller.open()?.display.scanId ?? null);
  /** Changes only with what the places follow from: the first click of each tooth and what is missing. */
  const basis = createMemo(() => clickSetOf(inputs()), null, { equals: sameBasis });

  const [due, setDue] = createSignal<Asked | null>(null);

  createEffect(
    on([scanId, basis, wanted], ([scan, set, want]) => {
      job.cancel();
      setDue(null);
      if (scan === null || set === null || !want || firstClicks(set).length < FEWEST_CLICKED) {
        madeFor = null;
        setHelp(NO_HELP);
        return;
      }
      // A click where it was expected changes nothing: the worker stays free for the clicks themselves.
      if (madeFor?.scan === scan && asProposed(madeFor.set, set, help())) return;
      // Places that a click contradicts must not be accepted while new ones are looked for.
      madeFor = null;
      setHelp(NO_HELP);
      setDue({ scan, set });
    }),
  );
  /** The worker does one thing at a time. */
  const isWaiting = createMemo(() => {
    const asked = due();
    return asked !== null && firstClicks(asked.set).length >= MANY_CLICKED && isAtWork(controller.results);
  });
  createEffect(
    on([due, isWaiting], ([asked, waiting]) => {
      if (asked === null || waiting) return;
      const timer = setTimeout(async () => {
        setDue(null);
        const found = await job.run('Looking for the other teeth', () =>
          client.proposeClicks(asked.scan, asked.set),
        );
        if (!found) return;
        madeFor = asked;
        setHelp(found);
      }, PROPOSE_REST_MS);
      onCleanup(() => clearTimeout(timer));
    }),
  );

  const proposals = createMemo(() => {
    if (!wanted()) return [];
    const said = new Set([...clickedTeeth(inputs()), ...inputs().missing]);
    return help().proposals.filter((proposal) => !said.has(proposal.tooth));
  });
  const questions = createMemo(() => {
    if (!wanted()) return [];
    const said = new Set([...clickedTeeth(inputs()), ...inputs().missing]);
    return help().questions.filter(({ teeth }) => !teeth.some((tooth) => said.has(tooth)));
  });

  return {
    job,
    proposals,
    questions,
    acceptAll() {
      const all = proposals();
      if (all.length > 0) controller.addClicks(all.map(({ tooth, point }) => ({ tooth, point })));
    },
    accept(tooth) {
      const found = proposals().find((proposal) => proposal.tooth === tooth);
      if (found) controller.addClick({ tooth, point: found.point });
    },
    place: (tooth, point) => controller.addClick({ tooth, point }),
    toothAt(point) {
      const near = proposals()
        .map((proposal) => ({ tooth: proposal.tooth, away: distance(proposal.point, point) }))
        .sort((a, b) => a.away - b.away)[0];
      return near && near.away < SAME_PLACE_MM ? near.tooth : null;
    },
    dismiss() {
      madeFor = null;
      setHelp(NO_HELP);
    },
  };
}

/** From the clicks to the plan: something is running or about to. */
function isAtWork({ jobs, measureIsDue }: Results): boolean {
  const isRunning = ({ state }: Job): boolean => state().kind === 'running';
  return isRunning(jobs.segment) || measureIsDue() || isRunning(jobs.plan) || isRunning(jobs.check);
}

/** True when every tooth clicked since lies where it was proposed, and nothing else changed. */
function asProposed(before: ClickSet, now: ClickSet, { proposals }: ClickHelp): boolean {
  if (before.jaw !== now.jaw || !sameNumbers(before.missing, now.missing)) return false;
  const present = firstClicks(now);
  const kept = firstClicks(before).every((one) =>
    present.some((other) => other.tooth === one.tooth && other.point === one.point),
  );
  return (
    kept &&
    present.every(({ tooth, point }) => {
      if (before.clicks.some((click) => click.tooth === tooth)) return true;
      const place = proposals.find((proposal) => proposal.tooth === tooth)?.point;
      return place !== undefined && distance(place, point) < SAME_PLACE_MM;
    })
  );
}

function sameBasis(a: ClickSet | null, b: ClickSet | null): boolean {
  if (a === null || b === null) return a === b;
  if (a.jaw !== b.jaw || !sameNumbers(a.missing, b.missing)) return false;
  if (a.clicks === b.clicks) return true;
  const first = firstClicks(a);
  const second = firstClicks(b);
  return (
    first.length === second.length &&
    first.every((one, k) => one.tooth === second[k]?.tooth && one.point === second[k]?.point)
  );
}

function sameNumbers(a: readonly ToothNumber[], b: readonly ToothNumber[]): boolean {
  return a.length === b.length && a.every((tooth, k) => tooth === b[k]);
}
