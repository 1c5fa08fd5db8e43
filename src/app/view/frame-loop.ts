export interface FrameSteps {
  /** Moves on what moves by itself; true while it does. */
  advance(now: number): boolean;
  /** Asks for a picture of what is to be seen now. */
  ask(): void;
  /** Puts the words where that picture has what they are about. */
  place(): void;
}

/** Pictures on demand, one at a time. */
export interface FrameLoop {
  /** Something changed. */
  request(): void;
  /** The same, before the page is shown the next time. */
  now(): void;
  /** The picture that was asked for is there. */
  drawn(): void;
  stop(): void;
}

/**
 * Asks for the next picture when the last one is there, so that none wait in a row behind a slow graphics card; words
 * that lie over the picture move with it and not ahead of it. Until the first picture has come they are placed at once,
 * and of what was asked for by then only the last is answered.
 */
export function makeFrameLoop({ advance, ask, place }: FrameSteps): FrameLoop {
  let frameRequest = 0;
  let hasPicture = false;
  let isAsked = false;
  /** Something changed since the picture that is being drawn was asked for. */
  let again = false;

  const request = (): void => {
    if (frameRequest === 0) frameRequest = requestAnimationFrame(step);
  };
  const step = (now: number): void => {
    cancelAnimationFrame(frameRequest);
    frameRequest = 0;
    if (hasPicture && isAsked) {
      again = true;
      return;
    }
    const moves = advance(now);
    isAsked = true;
    ask();
    if (hasPicture) again = moves;
    else {
      place();
      if (moves) request();
    }
  };
  return {
    request,
    now: () => step(performance.now()),
    drawn() {
      isAsked = false;
      hasPicture = true;
      place();
      if (again) request();
      again = false;
    },
    stop: () => cancelAnimationFrame(frameRequest),
  };
}
