import { createEffect, createSignal, type JSX, on, onCleanup, onMount, Show } from 'solid-js';
import { formatTooth } from '../../teeth/notation.ts';
import type { ToothNumber } from '../../teeth/types.ts';
import type { ScanViewPaneProps } from '../kernel/display-types.ts';
import { NAMED_VIEWS, type NamedView } from './camera-pose.ts';
import { canDrawApart, type DrawnBy } from './drawing-client.ts';
import {
  blankView,
  makeScanView,
  type ScanView,
  type Standpoint,
  type ViewActions,
  type ViewState,
} from './scan-view.ts';
import type { MissReason } from './surface-touch.ts';
import type { ViewContent } from './view-content.ts';
import './scan-view.css';

const VIEW_WORDS: Record<NamedView, string> = {
  above: 'Above',
  front: 'Front',
  right: 'Right',
  left: 'Left',
};

const STATE_SENTENCES: Record<Exclude<ViewState, 'ready'>, string> = {
  unavailable:
    'This browser does not draw 3D pictures (WebGL is missing or switched off), so the scan cannot be shown here. Table, plot and plan work without it.',
  failed:
    'What draws the scan could not be fetched or started, so the scan cannot be shown here. Load the page again to see it. Table, plot and plan work without it.',
  lost: 'The graphics card has dropped the picture of the scan. It comes back by itself; nothing is lost.',
};

/** `outrun`: what was done on the picture is about a click that is no longer there. */
type Missed = MissReason | 'outrun';

const MISS_SENTENCES: Record<Missed, string> = {
  beside: 'That was beside the scan, so nothing was changed. Click on the scan itself; a drag turns it.',
  simulated:
    'The crowns are shown where the stages take them. Put them back to where they were scanned to click on them.',
  outrun: 'This click was moved or taken back in the same moment, so nothing more was done to it.',
  earlier: 'The earlier scan lies over this one. Fade it out to click on the scan of today.',
};

/** What comes of a worker. */
const FOUND = ['scan', 'labels', 'teeth', 'contacts', 'frame'] as const satisfies (keyof ViewContent)[];

/** What one press of an arrow key turns or shifts. */
const TURN_STEP_DEG = 8;
const PAN_STEP_PX = 14;
const ZOOM_STEP = 1.2;

/** The view of the scan with its tools and keys. The three view itself is plain; this feeds it. */
export function ScanViewPane(props: ScanViewPaneProps): JSX.Element {
  /** Null until the view is made. */
  const [state, setState] = createSignal<ViewState | null>(null);
  const [hovered, setHovered] = createSignal<ToothNumber | null>(null);
  const [preparing, setPreparing] = createSignal(false);
  const [missed, setMissed] = createSignal<Missed | null>(null);
  const [colourWish, setColourWish] = createSignal<boolean | null>(null);
  const [showsRestoration, setShowsRestoration] = createSignal(true);
  // The scanner's colours are shown until the teeth are known; after that only when asked for.
  const scanColours = (): boolean => colourWish() ?? props.labels === null;
  let host!: HTMLDivElement;
  let view: ScanView = blankView();
  let shown: ViewContent | null = null;
  /** What is done on a scan that the page has already left is not meant for the one that has come. */
  const onScan =
    <Told extends unknown[]>(act: (...told: Told) => void) =>
    (...told: Told): void => {
      if (shown?.scan === props.scan) act(...told);
    };
  /** Acts on a click by its number in the list that is shown: by now others may have come or gone before it. */
  const onClick = (index: number, act: (index: number) => void): void => {
    const click = shown?.clicks[index];
    const now = click === undefined ? -1 : props.clicks.indexOf(click);
    if (now === -1) setMissed('outrun');
    else act(now);
  };

  const make = (by: DrawnBy, from: Standpoint | null): ScanView => {
    const actions: ViewActions = {
      pick: onScan(({ point, triangle }) => props.onPick(point, shown?.labels?.[triangle] ?? null)),
      selectContact: (key) => props.onSelectContact(key),
      moveClick: onScan((index, point) => onClick(index, (now) => props.onMoveClick(now, point))),
      removeClick: onScan((index) => onClick(index, (now) => props.onRemoveClick(now))),
      acceptProposal: onScan((tooth) => props.onAcceptProposal(tooth)),
      placeProposal: onScan((tooth, point) => props.onPlaceProposal(tooth, point)),
      paint: onScan((piece) => props.onPaint(piece)),
      missed: setMissed,
      stateChanged(next) {
        setState(next);
        if (next === 'unavailable' || next === 'failed') replaceBy(blankView);
      },
      drawnNoMore(why) {
        console.warn(`No worker draws the scan (${why}); the page draws it itself.`);
        replaceBy((stood) => make('page', stood));
      },
      preparing: setPreparing,
      hovered: setHovered,
    };
    return makeScanView(host, by, actions, from);
  };
  /** Another view in place of this one, of the same content and from where it is seen. */
  const replaceBy = (next: (from: Standpoint | null) => ScanView): void => {
    const stood = view.standpoint();
    view.dispose();
    setHovered(null);
    setPreparing(false);
    view = next(stood);
    if (shown !== null) view.update(shown);
  };

  onMount(() => {
    host.tabIndex = 0;
    view = make(canDrawApart() ? 'worker' : 'page', null);
    let forgetShowing = (): void => {};
    /** What comes after the next frame; null = nothing. */
    let coming: ViewContent | null = null;
    const show = (content: ViewContent): void => {
      coming = null;
      shown = content;
      view.update(content);
    };
    createEffect(() => {
      const content: ViewContent = {
        scan: props.scan,
        labels: props.labels,
        clicks: props.clicks,
        proposals: props.proposals,
        teeth: props.teeth,
        contacts: props.contacts,
        selected: props.selected,
        motions: props.motions,
        motionScale: props.motionScale,
        frame: props.frame,
        mode: props.mode,
        numbering: props.numbering,
        earlier: props.earlier ?? null,
        restoration: props.restoration ?? null,
        fitMarks: props.fitMarks ?? [],
        scanColours: scanColours(),
        showsRestoration: showsRestoration(),
      };
      // What the user does is shown at once; what was read or found when the page has laid out the table that changes
      // with it: both in one frame would hold up the page.
      const before = shown;
      const isFound = FOUND.some((part) => content[part] !== before?.[part]);
      if (!isFound) {
        forgetShowing();
        show(content);
        return;
      }
      // What changes while it waits goes along, and does not put it off again: crowns that move would do so every time.
      if (coming === null) forgetShowing = afterNextFrame(() => coming && show(coming));
      coming = content;
    });
    // Another one is what the user wants to see.
    createEffect(
      on(
        () => props.restoration,
        () => setShowsRestoration(true),
      ),
    );
    const themeWatcher = new MutationObserver(() => view.readColours());
    themeWatcher.observe(document.documentElement, { attributes: true, attributeFilter: ['data-theme'] });
    onCleanup(() => {
      forgetShowing();
      themeWatcher.disconnect();
      view.dispose();
    });
  });

  const onKeyDown = (event: KeyboardEvent): void => {
    // Enter on a pin or mark is that button's own.
    if (event.key === 'Enter' && event.target !== host) return;
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const action = keyAction(view, event);
    if (action === null) return;
    event.preventDefault();
    action();
  };

  return (
    <section class="scan-view" aria-label="View of the scan">
      <div
        class="scan-view-host"
        ref={host}
        role="application"
        aria-roledescription="3D view"
        aria-label={describeView(props)}
        aria-describedby="scan-view-keys"
        onKeyDown={onKeyDown}
      />
      <div class="scan-view-aim" aria-hidden="true" />
      <p id="scan-view-keys" hidden>
        Keys 1 to 4 look from above, from the front, from the right and from the left; 0 shows the whole scan.
        Arrow keys turn, with Shift they shift, plus and minus zoom. Enter clicks what lies in the middle of
        the view.
      </p>
      <Show when={state() === 'ready' && props.scan !== null}>
        <div class="scan-view-tools" role="toolbar" aria-label="Look at the scan">
          {NAMED_VIEWS.map((name, i) => (
            <button type="button" onClick={() => view.lookFrom(name)}>
              {VIEW_WORDS[name]}
              <kbd>{i + 1}</kbd>
            </button>
          ))}
          <button type="button" onClick={() => view.fit()}>
            Whole scan<kbd>0</kbd>
          </button>
          <Show when={props.scan?.colors !== null && props.labels !== null}>
            <button type="button" aria-pressed={scanColours()} onClick={() => setColourWish(!scanColours())}>
              Scan colours
            </button>
          </Show>
          <Show when={props.restoration}>
            <button
              type="button"
              aria-pressed={showsRestoration()}
              onClick={() => setShowsRestoration(!showsRestoration())}
            >
              Restoration
            </button>
          </Show>
        </div>
      </Show>
      <Show when={hovered() !== null}>
        <div class="scan-view-tooth" aria-hidden="true">
          tooth {formatTooth(hovered()!, props.numbering)}
        </div>
      </Show>
      <Show when={state() === 'ready'}>
        <div class="scan-view-preparing" role="status">
          <Show when={preparing()}>
            <p>The scan is being prepared for the view.</p>
          </Show>
        </div>
        {/* There before it has anything to say: what comes together with its words is not read out. */}
        <div class="scan-view-missed" role="status">
          <Show when={missed()}>{(reason) => <p>{MISS_SENTENCES[reason()]}</p>}</Show>
        </div>
      </Show>
      <Show when={state() !== null && state() !== 'ready'}>
        <div class="scan-view-message" role="status">
          <p>{STATE_SENTENCES[state() as Exclude<ViewState, 'ready'>]}</p>
        </div>
      </Show>
    </section>
  );
}

/** Does it in a task of its own after the next frame of the page. @returns how it is taken back */
function afterNextFrame(act: () => void): () => void {
  let timer: ReturnType<typeof setTimeout> | undefined;
  const frame = requestAnimationFrame(() => {
    timer = setTimeout(act);
  });
  return () => {
    cancelAnimationFrame(frame);
    clearTimeout(timer);
  };
}

/** What a key does, or null when the view has no use for it. */
function keyAction(view: ScanView, event: KeyboardEvent): (() => void) | null {
  const named = NAMED_VIEWS[Number(event.key) - 1];
  if (named !== undefined) return () => view.lookFrom(named);
  const turnOrPan = (x: number, y: number) => (): void => {
    if (event.shiftKey) view.panBy(x * PAN_STEP_PX, y * PAN_STEP_PX);
    else view.turnBy(x * TURN_STEP_DEG, y * TURN_STEP_DEG);
  };
  switch (event.key) {
    case 'ArrowLeft':
      return turnOrPan(-1, 0);
    case 'ArrowRight':
      return turnOrPan(1, 0);
    case 'ArrowUp':
      return turnOrPan(0, -1);
    case 'ArrowDown':
      return turnOrPan(0, 1);
    case '+':
    case '=':
      return () => view.zoomBy(ZOOM_STEP);
    case '-':
      return () => view.zoomBy(1 / ZOOM_STEP);
    case '0':
      return () => view.fit();
    case 'Enter':
      return () => view.pickCentre();
    default:
      return null;
  }
}

function describeView(props: ScanViewPaneProps): string {
  if (props.scan === null) return 'No scan is open';
  const teeth = props.teeth.length;
  const apart = teeth > 0 ? `, ${teeth} teeth told apart` : '';
  return `The scan in three dimensions${apart}${props.restoration ? ', a restoration in its place' : ''}`;
}
