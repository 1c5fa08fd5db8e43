import { type Accessor, batch, createEffect, createSignal, on } from 'solid-js';
import type { Practice } from '../../closure/practice.ts';
import type { ScannerProfile } from '../../contacts/types.ts';
import type { AnalysisClient } from './analysis-client.ts';
import { clickSetOf, emptyInputs } from './case-inputs.ts';
import type { InputsControl } from './create-inputs.ts';
import { createJob, type Job } from './create-job.ts';
import { type GivenFile, scanFile } from './given-file.ts';
import {
  type BesideStep,
  type BesideSteps,
  type KeptBeside,
  type OtherStep,
  stepsOfKept,
} from './kept-beside.ts';
import { bareArch, type OtherArch, opposedTo, scannedBy, stepsInstead } from './other-arch.ts';
import type { ScanBytes } from './scan-bytes.ts';

/** The other arch of the open case: the one that opposes it, and that can be worked on in its place. */
export interface Beside {
  readonly other: Accessor<OtherArch | null>;
  readonly otherJob: Job;
  /** Puts a scan beside the open one, or takes it away: a step that can be undone. */
  setOther(file: GivenFile | null): void;
  /** The scan that was put beside the open one cannot be read. */
  refuseOther(bytes: ScanBytes): void;
  /** Measures the other arch without showing it. */
  measureOther(): Promise<void>;
  /**
   * Another case begins, with this arch beside the first; nothing of the former one can be undone.
   * @param kept - what of it can be undone and redone, where that was kept
   */
  begin(other: OtherArch | null, kept?: KeptBeside): void;
  /** What can be undone and redone. */
  readonly steps: Accessor<BesideSteps>;
  /** The arches change places: this one is the other one now. */
  trade(left: OtherArch): void;
  /** The step of scans that is undone or redone next; undefined = the next one is none of scans. */
  next(which: keyof BesideSteps): BesideStep | undefined;
  /** Undoes or redoes a step that puts another scan beside the open one. */
  take(which: keyof BesideSteps, step: OtherStep): void;
  /** A step was made: what had been undone before can no longer be redone. */
  note(step: BesideStep): void;
  /** A step was undone or redone, and `back` leads back. */
  taken(which: keyof BesideSteps, step: BesideStep, back: BesideStep): void;
  /** Something else was changed: what had been undone before can no longer be redone. */
  dropRedo(): void;
}

const NO_STEPS: BesideSteps = { undo: [], redo: [] };

export function createBeside(
  client: AnalysisClient,
  control: InputsControl,
  practice: Accessor<Practice> | undefined,
  scanner: Accessor<ScannerProfile | null>,
): Beside {
  const [other, put] = createSignal<OtherArch | null>(null);
  const [steps, setSteps] = createSignal(NO_STEPS);
  const otherJob = createJob();

  const note = (step: BesideStep) => setSteps(({ undo }) => ({ undo: [...undo, step], redo: [] }));

  function taken(from: keyof BesideSteps, step: BesideStep, back: BesideStep): void {
    const to = from === 'undo' ? 'redo' : 'undo';
    setSteps((now) => ({
      ...now,
      [from]: now[from].filter((one) => one !== step),
      [to]: [...now[to], back],
    }));
  }

  /**
   * The other arch as what is said about this one makes it; its places among the steps go with it, and so do the scans
   * of it that steps lead to, as undo and redo would otherwise say for both arches what was said before.
   */
  function follow(before: OtherArch, change: (arch: OtherArch) => OtherArch): void {
    const after = change(before);
    if (after === before) return;
    const instead = new Map(stepsInstead(before, after));
    let { undo, redo } = steps();
    const ofOther = (step: BesideStep): BesideStep => {
      const at = instead.get(step.at);
      if (at === undefined) return step;
      if (step.place === 'beside') return { ...step, at };
      const to = change(step.to);
      for (const [was, is] of stepsInstead(step.to, to)) instead.set(was, is);
      return { ...step, at, to };
    };
    // A step may lead to a scan of which further steps lead on: as often as there are more of them.
    for (let known = 0; known < instead.size; ) {
      known = instead.size;
      [undo, redo] = [undo.map(ofOther), redo.map(ofOther)];
    }
    batch(() => {
      setSteps({ undo, redo });
      put(after);
    });
  }

  /** What is said about the jaw of one arch is said about the other, too. */
  createEffect(
    on([() => control.inputs().jaw, other], ([jaw, beside]) => {
      if (beside) follow(beside, (arch) => opposedTo(arch, jaw));
    }),
  );

  createEffect(
    on([() => control.inputs().scanner, other], ([said, beside]) => {
      if (beside && said !== undefined) follow(beside, (arch) => scannedBy(arch, said));
    }),
  );

  /** What was measured with the terms of one scanner does not hold with those of another. */
  createEffect(
    on(
      scanner,
      () => {
        const unmeasured = (arch: OtherArch | null) => arch && { ...arch, analysis: null };
        // The arches of the other steps carry nothing that was measured.
        const anew = (list: readonly BesideStep[]) =>
          list.map((step) => (step.place === 'beside' ? { ...step, to: unmeasured(step.to) } : step));
        setSteps(({ undo, redo }) => ({ undo: anew(undo), redo: anew(redo) }));
        put(unmeasured);
      },
      { defer: true },
    ),
  );

  return {
    other,
    otherJob,
    setOther(given) {
      if (given === null && other() === null) return;
      const file = given && scanFile(given);
      otherJob.cancel();
      control.endStep();
      note({ place: 'beside', at: control.inputs(), to: other(), made: file?.bytes ?? null });
      put(file && bareArch(file, emptyInputs(practice?.(), scanner())));
    },
    refuseOther(bytes) {
      if (other()?.bytes !== bytes) return;
      const step = steps()
        .undo.filter((one) => one.place === 'beside')
        .findLast(({ made }) => made === bytes);
      setSteps((now) => ({ ...now, undo: now.undo.filter((one) => one !== step) }));
      put(step?.to ?? null);
    },
    async measureOther() {
      const beside = other();
      const clicks = beside && clickSetOf(beside.history.present);
      if (!beside || !clicks) return;
      const { fileName, bytes, unit } = beside;
      const profile = scanner();
      const analysis = await otherJob.run('Measuring the other arch', async (watch) => {
        const { scanId } = await client.openScan(bytes, { fileName, unit }, watch);
        try {
          await client.segment(scanId, clicks, watch);
          const { limitMm } = beside.history.present;
          const settings = { limitMm, ...(profile === null ? {} : { scanner: profile }) };
          return (await client.measure(scanId, clicks, settings, watch)).analysis;
        } finally {
          client.close(scanId).catch(() => {});
        }
      });
      if (analysis && other() === beside && scanner() === profile) put({ ...beside, analysis });
    },
    begin(arch, kept) {
      setSteps(kept ? stepsOfKept(kept, control.history(), arch) : NO_STEPS);
      put(arch);
    },
    steps,
    trade: put,
    next: (which) => steps()[which].findLast(({ at }) => at === control.inputs()),
    take(which, step) {
      const made = step.to?.bytes ?? null;
      batch(() => {
        taken(which, step, { place: 'beside', at: step.at, to: other(), made });
        put(step.to);
      });
    },
    note,
    taken,
    dropRedo: () => setSteps((now) => (now.redo.length === 0 ? now : { ...now, redo: [] })),
  };
}
