import { cancelledError } from '../../geometry/archgap-error.ts';
import { type CaseInputs, plainInputs } from './case-inputs.ts';
import type { Beside } from './create-beside.ts';
import { inputsOf } from './create-files.ts';
import type { InputsControl } from './create-inputs.ts';
import type { OpenCase, OpenRequest, OpenScan } from './create-open-scan.ts';
import { type History, startHistory } from './history.ts';
import type { BesideSteps, RoundStep } from './kept-beside.ts';
import { leftArch, type OtherArch } from './other-arch.ts';
import type { KeptScan } from './scan-bytes.ts';

/** From scan to scan of the arch worked on, and from arch to arch: steps that change which scans the case has. */
export interface Rounds {
  /**
   * Opens the next scan of the arch worked on; the open one becomes the newest of the earlier ones and stays with the
   * worker. Resolves to the scan that was open, or to null when nothing was changed.
   * @param start - what the new scan starts with
   */
  openNext(file: OpenRequest['file'], start: OpenRequest['start']): Promise<OpenCase | null>;
  /** Takes the open scan out of the case and goes back to the newest of the earlier ones. */
  dropNewest(): Promise<void>;
  /** Undoes or redoes the last step if it was one of scans; false = it was not. */
  undoScans(): boolean;
  redoScans(): boolean;
}

interface RoundSources {
  readonly scan: OpenScan;
  readonly beside: Beside;
  readonly control: InputsControl;
}

export function createRounds({ scan, beside, control }: RoundSources): Rounds {
  const { open, earlier } = scan;
  /** A scan is read because a step leads to it: the step is not begun twice. */
  let underway = false;

  /** The arch worked on as it is left. @param history - what of it can be undone and redone later */
  const left = (current: OpenCase, history: History<CaseInputs>): OtherArch =>
    leftArch(current, history, null, earlier());

  /** Another scan of the arch is worked on from now on; undo leads back to this one. */
  async function change(
    current: OpenCase,
    { start, ...request }: Omit<OpenRequest, 'id' | 'demo' | 'besides'>,
  ): Promise<boolean> {
    let step: RoundStep | null = null;
    const { id, demo } = current;
    return scan.openScan({
      id,
      demo,
      ...request,
      async start(reply, watch) {
        const begun = await start(reply, watch);
        const before = { ...control.history(), future: [], tag: null };
        step = { place: 'open', at: begun.present, to: left(current, before) };
        return begun;
      },
      besides: () => step && beside.note(step),
    });
  }

  /** Goes where a step leads. What is done while the scan is read stands, and the step is left alone then. */
  async function go(which: keyof BesideSteps, step: RoundStep): Promise<void> {
    const current = open();
    if (!current || underway) return;
    const { to } = step;
    underway = true;
    let back: RoundStep | null = null;
    await scan.openScan({
      id: current.id,
      file: { name: to.fileName, bytes: to.bytes },
      demo: current.demo,
      unit: to.unit,
      start: () => {
        if (control.inputs() !== step.at) throw cancelledError();
        back = { place: 'open', at: to.history.present, to: left(current, control.history()) };
        return to.history;
      },
      besides: () => back && beside.taken(which, step, back),
      earlier: to.earlier,
    });
    underway = false;
  }

  function take(which: keyof BesideSteps): boolean {
    const step = beside.next(which);
    if (!step) return false;
    if (step.place === 'beside') beside.take(which, step);
    else void go(which, step);
    return true;
  }

  return {
    async openNext(file, start) {
      const current = open();
      if (!current) return null;
      const { fileName, bytes, facts, unit } = current;
      const { originMm } = facts;
      // What is said about the open scan while the next one is read belongs to it.
      const leaving = (): KeptScan => ({
        fileName,
        bytes,
        unit,
        originMm,
        inputs: plainInputs(control.inputs()),
      });
      const request = { file, unit: null, start, earlier: earlier(), leaving, keepFormer: true };
      return (await change(current, request)) ? current : null;
    },
    async dropNewest() {
      const current = open();
      const newest = earlier().at(-1);
      if (!current || !newest) return;
      await change(current, {
        file: { name: newest.fileName, bytes: newest.bytes },
        unit: newest.unit,
        start: ({ facts }) => startHistory(inputsOf(newest, facts)),
        earlier: earlier().slice(0, -1),
      });
    },
    undoScans: () => take('undo'),
    redoScans: () => take('redo'),
  };
}
