export interface FrameSteps {
  /** Moves on what moves by itself; true while it does. */
  advance(now: number): boolean;
  /** Asks for a picture of what is to be seen now. */
  ask(): void;
  /** That picture is there, or is the first one: it is what the words lie over. */
  show(): void;
  /** Puts the words where the picture that is shown has what they are about. */
  place(): void;
}

/** Pictures on demand, one at a time. */
export interface FrameLoop {
  /** Something changed. */
  request(): void;
  /** Words changed: they are placed before the page is shown the next time, whatever picture is being drawn. */
  words(): void;
  /** The same, before the page is shown the next time. */
  now(): void;
  /** The picture that was asked for is there. */
  drawn(): void;
  stop(): void;
}

/**
 * Asks for the next picture when the last one is there, so that none wait in a row behind a slow graphics card; words
 * that lie over the picture move with it and not ahead of it, but new ones do not wait for it to have a place. Until the
 * first picture has come they are placed at once, and of what was asked for by then only the last is answered.
 */
export function makeFrameLoop({ advance, ask, show, place }: FrameSteps): FrameLoop {
  let frameRequest = 0;
  let hasPicture = false;
  let isAsked = false;
  /** Something changed since the picture that is being drawn was asked for. */
  let again = false;
  /** What the next step is for. */
  let wantsPicture = false;
  let wantsWords = false;

  const soon = (): void => {
    if (frameRequest === 0) frameRequest = requestAnimationFrame(step);
  };
  const request = (): void => {
    wantsPicture = true;
    soon();
  };
  const step = (now: number): void => {
    cancelAnimationFrame(frameRequest);
    frameRequest = 0;
    if (wantsWords) place();
    wantsWords = false;
    if (!wantsPicture) return;
    wantsPicture = false;
    if (hasPicture && isAsked) {
      again = true;
      return;
    }
    const moves = advance(now);
    const isFirst = !hasPicture;
    isAsked = true;
    again = moves && !isFirst;
    // Where the page draws itself, the picture is there before this returns.
    ask();
    if (!isFirst) return;
    show();
    place();
    if (moves) request();
  };
  return {
    request,
    words() {
      wantsWords = true;
      soon();
    },
    now() {
      wantsPicture = true;
      step(performance.now());
    },
    drawn() {
      isAsked = false;
      hasPicture = true;
      show();
      wantsWords = false;
      place();
      if (again) request();
      again = false;
    },
    stop: () => cancelAnimationFrame(frameRequest),
  };
}
