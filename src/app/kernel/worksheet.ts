import { type Accessor, createEffect, createMemo, createSignal, on } from 'solid-js';
import type { Analysis } from '../../contacts/types.ts';
import type { Click, ToothNumber, ToothSentence } from '../../teeth/types.ts';
import { type CaseController, CLICK_TAG } from './create-case.ts';
import { CLICK_FILE_TAG } from './create-files.ts';
import type { ViewMode } from './display-types.ts';

export const SECTIONS = [
  'scan',
  'teeth',
  'contacts',
  'closure',
  'record',
  'follow-up',
  'restoration',
] as const;
export type SectionName = (typeof SECTIONS)[number];

/** What of the worksheet is unfolded, and what a click on the scan means. */
export interface Worksheet {
  readonly isOpen: (section: SectionName) => boolean;
  readonly setOpen: (section: SectionName, open: boolean) => void;
  readonly mode: Accessor<ViewMode>;
  readonly setMode: (mode: ViewMode) => void;
  /** The tooth that the next click is for; null = the number follows from the place. */
  readonly nextTooth: Accessor<ToothNumber | null>;
  readonly setNextTooth: (tooth: ToothNumber | null) => void;
  /** What the last click left to ask; null = nothing. */
  readonly question: Accessor<ToothQuestion | null>;
  readonly setQuestion: (question: ToothQuestion | null) => void;
  /** What a stroke of the brush says. */
  readonly brush: Accessor<Brush>;
  readonly setBrush: (brush: Brush) => void;
}

/** `begin`: the stroke carries on what it begins on; `erase`: it takes earlier corrections away. */
export type Brush = ToothNumber | 'gum' | 'begin' | 'erase';

interface ToothQuestion extends ToothSentence {
  readonly tooth: ToothNumber;
  /** The click that it asks about, itself. */
  readonly click: Click;
}

/** From so many contacts on, that none of them is open says something. */
const MOST_OF_AN_ARCH = 8;

/** Whether results are worth unfolding while teeth are still being clicked. */
function saysSomething({ contacts }: Analysis): boolean {
  return (
    contacts.length >= MOST_OF_AN_ARCH ||
    contacts.some(({ status }) => status === 'open' || status === 'undecided' || status === 'overlap')
  );
}

export function createWorksheet(controller: CaseController): Worksheet {
  const [open, setOpenSet] = createSignal<ReadonlySet<SectionName>>(new Set(['scan']));
  const [mode, setMode] = createSignal<ViewMode>('look');
  const [nextTooth, setNextTooth] = createSignal<ToothNumber | null>(null);
  const [brush, setBrush] = createSignal<Brush>('begin');
  const [question, setQuestion] = createSignal<ToothQuestion | null>(null);
  const show = (...sections: SectionName[]) => setOpenSet(new Set(sections));

  /** A new case: to the clicks when there are none, else to the results. */
  createEffect(
    on(
      createMemo(() => controller.open()?.visit),
      (visit) => {
        setNextTooth(null);
        setQuestion(null);
        setBrush('begin');
        if (visit === undefined) {
          show('scan');
          return setMode('look');
        }
        const clicked = controller.inputs().clicks.length > 0;
        const ask = controller.open()?.facts.source.unit.sure === false;
        if (controller.earlier().length > 0) show('follow-up', ...(clicked ? [] : ['teeth' as const]));
        else if (clicked) show('contacts', 'closure');
        else if (ask) show('scan', 'teeth');
        else show('teeth');
        return setMode(clicked ? 'look' : 'click-tooth');
      },
    ),
  );
  /** Tooth after tooth is clicked: what comes of a step back or of a file is looked for at once. */
  const isClicking = () => mode() !== 'look' && controller.lastTag()?.startsWith(CLICK_TAG) === true;
  /** The results were unfolded; they stay as they are folded then. */
  let told = false;
  const tell = () => {
    told = true;
    setOpenSet((unfolded) => new Set([...unfolded, 'contacts', 'closure']));
  };
  /**
   * The first results of a case that say something unfold below, later ones leave alone what is folded; a click file goes
   * straight to them.
   */
  createEffect(
    on(
      controller.results.analysis,
      (analysis) => {
        if (analysis === null) {
          told = false;
          return;
        }
        // After a next scan its change is what is looked for.
        if (controller.earlier().length > 0 && controller.lastTag() === null) return;
        if (controller.lastTag() === CLICK_FILE_TAG) {
          told = true;
          show('contacts', 'closure');
          setMode('look');
        } else if (!told && (!isClicking() || saysSomething(analysis))) tell();
      },
      { defer: true },
    ),
  );
  /** Whoever has done with clicking wants the results, whatever they are. */
  createEffect(
    on(
      mode,
      (now) => {
        if (now === 'look' && !told && controller.results.analysis() !== null) tell();
      },
      { defer: true },
    ),
  );
  createEffect(
    on(
      controller.inputs,
      () => {
        const asked = question();
        if (asked && !controller.inputs().clicks.includes(asked.click)) setQuestion(null);
      },
      { defer: true },
    ),
  );

  return {
    isOpen: (section) => open().has(section),
    setOpen: (section, isOpen) =>
      setOpenSet((before) => {
        const after = new Set(before);
        if (isOpen) after.add(section);
        else after.delete(section);
        return after;
      }),
    mode,
    setMode,
    nextTooth,
    setNextTooth,
    question,
    setQuestion,
    brush,
    setBrush,
  };
}
