import { type Accessor, batch, createMemo, createSignal } from 'solid-js';
import type { RecordFile, RecordFileKind } from '../../../workers/analysis-api.ts';
import { departures } from '../../closure/practice.ts';
import type { ScannerProfile } from '../../contacts/types.ts';
import type { ArchgapError } from '../../geometry/archgap-error.ts';
import type { Vec3 } from '../../geometry/types.ts';
import type { Click, NumberingScheme } from '../../teeth/types.ts';
import {
  type CaseInputs,
  clickedTeeth,
  clickSetOf,
  withClick,
  withClickMoved,
  withClicks,
} from './case-inputs.ts';
import { createFollowUp, type FollowUpControl } from './create-follow-up.ts';
import { createInputs, type InputsControl } from './create-inputs.ts';
import { createJob, type Job } from './create-job.ts';
import { createOpening, type Opening, type OpeningSources } from './create-opening.ts';
import { createResults, type Results } from './create-results.ts';
import type { Rounds } from './create-rounds.ts';
import { noteOf, type OrderNote } from './order-note.ts';
import type { OtherArch } from './other-arch.ts';
import { savedPrefix } from './saved-name.ts';
import { contentRead } from './scan-bytes.ts';
import { counted } from './words.ts';

/** The open case: what the user said, what follows from it, and what can be done. */
export interface CaseController
  extends InputsControl,
    Omit<
      Opening,
      | 'beside'
      | 'showOther'
      | 'refuseOther'
      | 'settled'
      | 'next'
      | 'setNext'
      | Exclude<keyof Rounds, 'dropNewest'>
    > {
  /** Terms of the scanner of this case; null = the stated assumptions. */
  readonly scanner: Accessor<ScannerProfile | null>;
  /** They came from the earlier scan, and nobody said that this one was made with the same scanner. */
  readonly scannerTakenOver: Accessor<boolean>;
  readonly results: Results;
  readonly followUp: FollowUpControl;
  readonly recordJob: Job;
  /** The sentence about a click that was refused; gone with the next change. */
  readonly refusal: Accessor<ArchgapError | null>;
  /** Adds a click, or moves one: as `change`, but taken back when the teeth cannot be told apart with it. */
  addClick(click: Click): void;
  moveClick(index: number, point: Vec3): void;
  /** Several clicks in one step. */
  addClicks(clicks: readonly Click[]): void;
  /** The next points of a stroke; all changes with the same `stroke` are undone as one. */
  paint(change: (inputs: CaseInputs) => CaseInputs, stroke: number): void;
  /** The text for the order: as the plan writes it, or as it was edited; null while there is no plan. */
  readonly orderNote: Accessor<OrderNote | null>;
  /**
   * Keeps the text with the case; null = as the plan writes it. `basis`: what the plan wrote when the edit began; left
   * out, what it writes now.
   */
  editNote(text: string | null, basis?: string): void;
  writeFile(kind: RecordFileKind): Promise<RecordFile | null>;
  /** What the names of these files begin with; null while there is nothing to write. */
  savedPrefix(): string | null;
  /** Works on the other arch of the case. */
  showOther(): Promise<void>;
  readonly caseFileJob: Job;
  /** The whole case as a file; `passphrase` null = not encrypted. */
  writeCaseFile(passphrase: string | null): Promise<RecordFile | null>;
}

export interface CaseSources extends Omit<OpeningSources, 'control' | 'ofDevice'> {
  readonly numbering: Accessor<NumberingScheme>;
  readonly version: string;
}

/** Marks a step that the segmentation may refuse. */
export const CLICK_TAG = 'click:';

export function createCase(sources: CaseSources): CaseController {
  const { client, numbering, version, now } = sources;
  const inputsControl = createInputs();
  const [refusal, setRefusal] = createSignal<ArchgapError | null>(null);
  /** Whatever is done next, the sentence about the refused click has been read. */
  const afresh =
    <A extends unknown[]>(act: (...args: A) => void) =>
    (...args: A) =>
      batch(() => {
        setRefusal(null);
        act(...args);
      });
  const control: InputsControl = {
    ...inputsControl,
    change: afresh((next, tag) => {
      const before = inputsControl.inputs();
      inputsControl.change(next, tag);
      if (inputsControl.inputs() !== before) opening.beside.dropRedo();
    }),
    undo: afresh(() => tellingWhatGoes('Redo', () => opening.undoScans() || inputsControl.undo())),
    redo: afresh(() => tellingWhatGoes('Undo', () => opening.redoScans() || inputsControl.redo())),
    canUndo: () => opening.beside.next('undo') !== undefined || inputsControl.canUndo(),
    canRedo: () => opening.beside.next('redo') !== undefined || inputsControl.canRedo(),
    reset: afresh(inputsControl.reset),
    resume: afresh(inputsControl.resume),
  };
  let saidGone: string | null = null;
  /** The arch that is not in sight goes with all its clicks by one press of a key: that is said. */
  function tellingWhatGoes(back: 'Undo' | 'Redo', step: () => void): void {
    const before = opening.beside.other();
    if (saidGone !== null && opening.notice()?.sentence === saidGone) opening.dismissNotice();
    saidGone = null;
    step();
    if (before === null || opening.beside.other() !== null) return;
    saidGone = otherGoneSentence(before, back);
    opening.tell(saidGone);
  }
  const ofDevice = sources.scanner ?? (() => null);
  /** Kept with the case from its beginning, so that it measures the same on every device; cases of old: that of this one. */
  const scanner = createMemo(() => {
    const kept = control.inputs().scanner;
    return kept === undefined ? ofDevice() : kept;
  });
  const scannerTakenOver = createMemo(() => scanner() !== null && control.inputs().scannerTakenOver === true);
  const opening: Opening = createOpening({ ...sources, control, scanner, ofDevice });
  const recordJob = createJob();
  const caseFileJob = createJob();
  let clicksMade = 0;

  const results = createResults({
    client,
    open: opening.settled,
    inputs: control.inputs,
    numbering,
    scanner,
    scannerTakenOver,
    other: opening.opposing,
    onOtherRefused: (bytes, error) =>
      batch(() => {
        opening.refuseOther(bytes);
        opening.tell(error.message, 'failed');
      }),
    isOpening: () => opening.openJob.state().kind === 'running',
    onRefused: (inputs, error) => {
      if (error.kind !== 'input' || !control.lastTag()?.startsWith(CLICK_TAG)) return;
      batch(() => {
        control.refuse(inputs);
        setRefusal(error);
      });
    },
  });

  const followUp = createFollowUp({
    client,
    opening,
    control,
    results,
    numbering,
    scanner,
  });

  const clickTag = () => {
    clicksMade += 1;
    return `${CLICK_TAG}${clicksMade}`;
  };

  const orderNote = createMemo(() => {
    const analysis = results.analysis();
    const plan = results.plan();
    if (!analysis || !plan) return null;
    const practice = sources.practice?.() ?? null;
    return noteOf(plan, analysis, numbering(), {
      practice,
      edited: control.inputs().note ?? null,
      scanName: followUp.names().at(-1),
    });
  });

  const comparisonRecord = () => {
    const found = followUp.comparison();
    if (!found) return null;
    const { earlier, names, alignment, changes, warnings, plan } = found;
    return { earlier, names, alignment, changes, warnings, plan };
  };

  const namesBegin = () => {
    const current = opening.open();
    const analysis = results.analysis();
    return current && analysis && savedPrefix(current.fileName, current.demo, analysis.jaw);
  };

  return {
    ...control,
    ...opening,
    scanner,
    scannerTakenOver,
    results,
    followUp,
    recover(error) {
      followUp.forget();
      return opening.recover(error);
    },
    orderNote,
    editNote: (text, basis) => {
      const written = orderNote()?.written;
      if (written === undefined) return;
      const note = text === null || text === written ? null : { text, basis: basis ?? written };
      control.change((inputs) => ({ ...inputs, note }), 'note');
    },
    recordJob,
    caseFileJob,
    writeCaseFile(passphrase) {
      const kept = opening.kept();
      if (!kept) return Promise.resolve(null);
      const createdAt = now().toISOString();
      return caseFileJob.run('Writing the case file', async () =>
        client.packCase({ content: await contentRead(kept.content), version, createdAt, passphrase }),
      );
    },
    showOther: () => opening.showOther(results.analysisIsOld() ? null : results.analysis()),
    refusal,
    addClick: (click) => control.change((inputs) => withClick(inputs, click), clickTag()),
    addClicks: (clicks) => control.change((inputs) => withClicks(inputs, clicks), clickTag()),
    paint: (change, stroke) => control.change(change, `${CLICK_TAG}stroke-${stroke}`),
    moveClick: (index, point) => control.change((inputs) => withClickMoved(inputs, index, point), clickTag()),
    savedPrefix: namesBegin,
    writeFile(kind) {
      const current = opening.open();
      const analysis = results.analysis();
      const clicks = clickSetOf(control.inputs());
      if (!current || !analysis || !clicks) return Promise.resolve(null);
      const plan = results.plan();
      const createdAt = now().toISOString();
      const { closure, limitMm } = control.inputs();
      const practice = sources.practice?.();
      const scanName = followUp.names().at(-1);
      const prefix = namesBegin() ?? '';
      return recordJob.run('Writing', async () => {
        const file = await client.writeFile(current.display.scanId, {
          kind,
          clicks,
          analysis,
          plan,
          numbering: numbering(),
          version,
          createdAt,
          note: orderNote()?.text ?? null,
          ...(scanName === undefined ? {} : { scanName }),
          noteIsEdited: orderNote()?.isEdited ?? false,
          heading: control.inputs().heading ?? null,
          floss: control.inputs().floss,
          comparison: comparisonRecord(),
          ...(practice ? { departures: departures({ ...closure, limitMm }, practice) } : {}),
        });
        return { ...file, fileName: `${prefix}${file.fileName}` };
      });
    },
  };
}

function otherGoneSentence({ fileName, history }: OtherArch, back: 'Undo' | 'Redo'): string {
  const clicked = clickedTeeth(history.present).length;
  const jaw = history.present.jaw;
  const work = clicked === 0 ? '' : `, with ${counted(clicked, 'clicked tooth', 'clicked teeth')}`;
  return `The other arch (${fileName}${jaw === null ? '' : `, ${jaw} jaw`}) is taken out of the case${work}. ${back} brings it back.`;
}
