import { type Accessor, batch, createEffect, createMemo, createSignal, on, untrack } from 'solid-js';
import type { FitReply } from '../../../workers/lab-api.ts';
import { DEFAULT_FIT_TARGET, type FitSide, type FitTarget } from '../../contacts/fit-types.ts';
import type { FitView } from '../../contacts/fit-view.ts';
import { judgeFit } from '../../contacts/judge-fit.ts';
import type { FitRecord } from '../../report/fit-json.ts';
import type { ToothNumber } from '../../teeth/types.ts';
import type { AnalysisClient } from './analysis-client.ts';
import type { CaseController } from './create-case.ts';
import { createJob, type Job } from './create-job.ts';
import type { CaseFile } from './other-arch.ts';
import { toothInName } from './tooth-in-name.ts';

/** One side as it is shown. */
export interface ShownSide {
  readonly side: FitSide;
  readonly view: FitView | null;
}

/** A restoration held against its neighbours on the open scan; it lasts as long as the scan is open. */
export interface FitControl {
  /** The teeth are measured, so that a restoration has neighbours. */
  readonly canFit: Accessor<boolean>;
  readonly file: Accessor<CaseFile | null>;
  readonly tooth: Accessor<ToothNumber | null>;
  readonly target: Accessor<FitTarget>;
  readonly setFile: (file: CaseFile | null) => void;
  readonly setTooth: (tooth: ToothNumber | null) => void;
  readonly setTarget: (target: FitTarget) => void;
  readonly job: Job;
  readonly run: () => Promise<void>;
  /** From the patient's right to left; null before it was held against them. */
  readonly sides: Accessor<readonly ShownSide[] | null>;
  /** The contacts were measured anew since: what stands there is of the labels before. */
  readonly isOld: Accessor<boolean>;
  /** What the files are written from. */
  readonly record: Accessor<FitRecord | null>;
}

interface Fitted {
  readonly reply: FitReply;
  readonly analysis: unknown;
  readonly tooth: ToothNumber;
}

export function createFit(client: AnalysisClient, controller: CaseController): FitControl {
  const { results } = controller;
  const [file, putFile] = createSignal<CaseFile | null>(null);
  const [tooth, putTooth] = createSignal<ToothNumber | null>(null);
  const [target, setTarget] = createSignal<FitTarget>(DEFAULT_FIT_TARGET);
  const [fitted, setFitted] = createSignal<Fitted | null>(null);
  const job = createJob();
  const canFit = () => controller.open() !== null && results.analysis() !== null && !results.analysisIsOld();

  /** The analysis as it was measured: a changed limit changes nothing of the walls. */
  const measured = createMemo(() => results.segmentation()?.labels ?? null);

  createEffect(
    on(
      () => controller.open()?.visit,
      () =>
        batch(() => {
          job.cancel();
          putFile(null);
          putTooth(null);
          setFitted(null);
        }),
    ),
  );

  async function run(): Promise<void> {
    const current = controller.open();
    const chosen = file();
    const number = tooth();
    if (!current || !chosen || number === null || !canFit()) return;
    const { name, bytes } = chosen;
    const analysis = measured();
    const reply = await job.run('Holding the restoration against its neighbours', (watch) =>
      client.fit(current.display.scanId, { fileName: name, bytes }, number, watch),
    );
    if (reply) setFitted({ reply, analysis, tooth: number });
  }

  const sides = createMemo((): readonly ShownSide[] | null => {
    const found = fitted();
    if (!found) return null;
    const { sides: all, views } = found.reply;
    return all.map((side, k) => ({ side: judgeFit(side, target()), view: views[k] ?? null }));
  });

  return {
    canFit,
    file,
    tooth,
    target,
    job,
    sides,
    setTarget,
    setFile(next) {
      batch(() => {
        job.cancel();
        putFile(next);
        setFitted(null);
        const named = next && toothInName(next.name, results.analysis()?.jaw ?? null);
        if (named) putTooth(named);
      });
      void untrack(run);
    },
    setTooth(next) {
      batch(() => {
        job.cancel();
        putTooth(next);
        setFitted(null);
      });
      void untrack(run);
    },
    run,
    isOld: () => fitted() !== null && fitted()?.analysis !== measured(),
    record: createMemo(() => {
      const found = fitted();
      const shown = sides();
      const scan = controller.open()?.facts;
      if (!found || !shown || !scan) return null;
      return {
        tooth: found.tooth,
        restoration: found.reply.restoration,
        scan: scan.source,
        originMm: scan.originMm,
        target: target(),
        sides: shown.map(({ side }) => side),
        warnings: found.reply.warnings,
      };
    }),
  };
}
