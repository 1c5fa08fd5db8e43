import { type Accessor, createEffect, createMemo, createSignal, onCleanup } from 'solid-js';
import { stagesShown } from '../../closure/play-back.ts';
import type { ClosurePlan, SpanOutcome, ToothMotion } from '../../closure/types.ts';

export const EXAGGERATIONS = [1, 5, 10] as const;
type Exaggeration = (typeof EXAGGERATIONS)[number];

/** One stage takes this long to play, s. */
const SECONDS_PER_STAGE = 1.4;
const TICK_MS = 40;

/** Which span is looked at, and how far its stages are played on the scan. */
export interface Playback {
  /** The span whose motions are shown: the chosen one, else the proposed one. */
  readonly span: Accessor<SpanOutcome | null>;
  readonly chooseSpan: (key: string | null) => void;
  /** Stages that are shown as done, 0 to `stages`; fractions are places within a stage. */
  readonly stage: Accessor<number>;
  readonly setStage: (stage: number) => void;
  /** The stages run by themselves, from the first when all are done. */
  readonly playing: Accessor<boolean>;
  readonly setPlaying: (playing: boolean) => void;
  /** Stages the slider runs over: those to order, or those the whole motion needs where they are too many. */
  readonly stages: Accessor<number>;
  readonly exaggeration: Accessor<Exaggeration>;
  readonly setExaggeration: (factor: Exaggeration) => void;
  /** For the view; null while the teeth stand where they were scanned. */
  readonly motions: Accessor<readonly ToothMotion[] | null>;
  /** Share of `motions` that is drawn, exaggeration included. */
  readonly scale: Accessor<number>;
}

export function spanKey(span: { readonly from: number; readonly to: number }): string {
  return `${span.from}-${span.to}`;
}

export function createPlayback(plan: Accessor<ClosurePlan | null>): Playback {
  const [chosen, chooseSpan] = createSignal<string | null>(null);
  const [stageWanted, setStage] = createSignal(0);
  const [exaggeration, setExaggeration] = createSignal<Exaggeration>(5);

  const span = createMemo(() => {
    const made = plan();
    if (!made) return null;
    const find = (key: string | null) => made.spans.find((one) => spanKey(one) === key);
    return find(chosen()) ?? (made.proposal ? (find(spanKey(made.proposal)) ?? null) : null);
  });
  const stages = () => {
    const shown = span();
    return shown ? stagesShown(shown) : 0;
  };
  const stage = () => Math.min(stageWanted(), stages());
  const [playing, setPlaying] = createSignal(false);
  createEffect(() => {
    if (!playing()) return;
    const timer = setInterval(() => {
      const next = stage() + TICK_MS / 1000 / SECONDS_PER_STAGE;
      setStage(Math.min(next, stages()));
      if (next >= stages()) setPlaying(false);
    }, TICK_MS);
    onCleanup(() => clearInterval(timer));
  });
  const share = () => (stages() > 0 ? stage() / stages() : 0);

  return {
    span,
    chooseSpan,
    stage,
    setStage: (wanted) => {
      setPlaying(false);
      setStage(wanted);
    },
    playing,
    setPlaying: (play) => {
      if (play && stage() >= stages()) setStage(0);
      setPlaying(play && stages() > 0);
    },
    stages,
    exaggeration,
    setExaggeration,
    motions: () => (share() > 0 ? (span()?.teeth ?? null) : null),
    scale: () => share() * exaggeration(),
  };
}
