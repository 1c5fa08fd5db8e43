import { type Accessor, batch, createEffect, createMemo, createSignal, on, untrack } from 'solid-js';
import type { FitReply } from '../../../workers/lab-api.ts';
import type { FitSide, FitTarget } from '../../contacts/fit-types.ts';
import type { FitView } from '../../contacts/fit-view.ts';
import { judgeFit } from '../../contacts/judge-fit.ts';
import type { ScannerProfile } from '../../contacts/types.ts';
import type { Vec3 } from '../../geometry/types.ts';
import type { FitRecord } from '../../report/fit-json.ts';
import type { ScanSource } from '../../scan/types.ts';
import type { NumberingScheme, ToothNumber } from '../../teeth/types.ts';
import type { AnalysisClient } from './analysis-client.ts';
import { type Restoration, restorationOf, withRestoration } from './case-inputs.ts';
import type { CaseController } from './create-case.ts';
import { createJob, type Job } from './create-job.ts';
import type { FitMark, RestorationOverlay } from './display-types.ts';
import { fitMarks } from './fit-marks.ts';
import type { CaseFile } from './given-file.ts';
import { toothInName } from './tooth-in-name.ts';

/** One side as it is shown. */
export interface ShownSide {
  readonly side: FitSide;
  readonly view: FitView | null;
}

/** A restoration held against its neighbours on the open scan; it is undone and redone with the rest of the case. */
export interface FitControl {
  /** The teeth are measured, so that a restoration has neighbours. */
  readonly canFit: Accessor<boolean>;
  readonly file: Accessor<CaseFile | null>;
  readonly tooth: Accessor<ToothNumber | null>;
  readonly target: Accessor<FitTarget>;
  readonly setFile: (file: CaseFile | null) => void;
  readonly setTooth: (tooth: ToothNumber | null) => void;
  readonly setTarget: (target: FitTarget) => void;
  /** Where it lies on the open scan, measured or refused; null while it is not read, or cannot be. */
  readonly surface: Accessor<RestorationOverlay | null>;
  /** Where it meets its neighbours; none while the fit is old. */
  readonly marks: Accessor<readonly FitMark[]>;
  /** Reads the surface. */
  readonly reading: Job;
  readonly job: Job;
  readonly run: () => Promise<void>;
  /** From the patient's right to left; null before it was held against them. */
  readonly sides: Accessor<readonly ShownSide[] | null>;
  /** Teeth, scanner or clicks changed since: what stands there is of before. */
  readonly isOld: Accessor<boolean>;
  /** What the files are written from; null while the fit is old. */
  readonly record: Accessor<FitRecord | null>;
}

/** A fit with everything it was made from. */
interface Fitted {
  readonly reply: FitReply;
  readonly labels: unknown;
  readonly scanner: ScannerProfile | null;
  readonly scan: { readonly source: ScanSource; readonly originMm: Vec3 };
  readonly tooth: ToothNumber;
}

interface ReadSurface {
  readonly file: CaseFile;
  readonly scanId: string;
  readonly surface: RestorationOverlay;
}

export function createFit(
  client: AnalysisClient,
  controller: CaseController,
  numbering: Accessor<NumberingScheme>,
): FitControl {
  const { results } = controller;
  const said = createMemo(() => restorationOf(controller.inputs()));
  const file = createMemo(() => said().file);
  const tooth = createMemo(() => said().tooth);
  const target = () => said().target;
  const say = (part: Partial<Restoration>, tag?: string) =>
    controller.change((inputs) => withRestoration(inputs, part), tag);
  const [fitted, setFitted] = createSignal<Fitted | null>(null);
  const [read, setRead] = createSignal<ReadSurface | null>(null);
  const job = createJob();
  const reading = createJob();
  const canFit = () => controller.open() !== null && results.analysis() !== null && !results.analysisIsOld();

  /** What was measured: a changed limit changes nothing of the walls. */
  const labels = createMemo(() => results.segmentation()?.labels ?? null);
  const isOld = () => {
    const found = fitted();
    if (found === null) return false;
    return found.labels !== labels() || found.scanner !== controller.scanner() || results.analysisIsOld();
  };

  /** Said, or come back by undo or redo. */
  createEffect(
    on([file, tooth], () => {
      job.cancel();
      setFitted(null);
      void untrack(run);
    }),
  );

  /** A surface lies in the frame of one scan: of the same file on another one it is read again. */
  const scanId = createMemo(() => controller.open()?.display.scanId ?? null);
  const surface = createMemo(() => {
    const found = read();
    return found !== null && found.file === file() && found.scanId === scanId() ? found.surface : null;
  });
  createEffect(on([scanId, file, canFit], () => void untrack(readSurface)));

  async function readSurface(): Promise<void> {
    const chosen = file();
    const scan = scanId();
    if (surface() !== null) return;
    setRead(null);
    reading.cancel();
    if (chosen === null || scan === null || !canFit()) return;
    const { name, bytes } = chosen;
    const found = await reading.run('Reading the restoration', (watch) =>
      client.readRestoration(scan, { fileName: name, bytes }, watch),
    );
    if (found) setRead({ file: chosen, scanId: scan, surface: found });
  }

  /** The same scan in another unit, or read again: its figures are of another frame. */
  createEffect(
    on(
      () => controller.open()?.display.scanId,
      () =>
        batch(() => {
          job.cancel();
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
    const from = {
      labels: labels(),
      scanner: controller.scanner(),
      scan: { source: current.facts.source, originMm: current.facts.originMm },
    };
    const reply = await job.run('Holding the restoration against its neighbours', (watch) =>
      client.fit(current.display.scanId, { fileName: name, bytes }, number, watch),
    );
    if (reply) setFitted({ reply, ...from, tooth: number });
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
    surface,
    marks: createMemo(() => {
      const found = fitted();
      const shown = sides();
      if (!found || !shown || isOld()) return [];
      const judged = shown.map(({ side }) => side);
      return fitMarks(found.tooth, judged, target(), numbering());
    }),
    reading,
    job,
    sides,
    setTarget: (wanted) => say({ target: wanted }, 'fit-target'),
    setFile(next) {
      const jaw = results.analysis()?.jaw ?? null;
      const named = next && numbering() === 'iso' ? toothInName(next.name, jaw) : null;
      // Another file is another restoration, whose tooth is to be said; the same one again is not, nor the first one
      // after its tooth.
      const isSame = named === null && (file() === null || next?.name === file()?.name);
      say(isSame ? { file: next } : { file: next, tooth: named });
    },
    setTooth: (next) => say({ tooth: next }),
    run,
    isOld,
    record: createMemo(() => {
      const found = fitted();
      const shown = sides();
      if (!found || !shown || isOld()) return null;
      return {
        tooth: found.tooth,
        restoration: found.reply.restoration,
        scan: found.scan.source,
        originMm: found.scan.originMm,
        target: target(),
        sides: shown.map(({ side }) => side),
        views: shown.map(({ view }) => view),
        warnings: found.reply.warnings,
      };
    }),
  };
}
