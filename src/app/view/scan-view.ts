import type { Vec3 } from '../../geometry/types.ts';
import type { ToothNumber } from '../../teeth/types.ts';
import { type ContactKey, contactKey, type DisplayScan, type StrokePiece } from '../kernel/display-types.ts';
import { type CameraPose, contactPose, type NamedView } from './camera-pose.ts';
import { type Display, openDisplay } from './display-client.ts';
import type { ScanSight } from './display-messages.ts';
import type { DrawnBy } from './drawing-client.ts';
import type { ViewColours } from './drawing-messages.ts';
import { makeFrameLoop } from './frame-loop.ts';
import { makeOverlay } from './overlay.ts';
import type { NumberPlace, Overlay, Projection } from './overlay-types.ts';
import { makePicker, type SurfaceHit } from './picker.ts';
import { makePicture } from './picture.ts';
import { pinActions } from './pin-actions.ts';
import { proposalActions } from './proposal-pins.ts';
import { makeRestorationDisplay } from './restoration-display.ts';
import { makeSteering } from './steering.ts';
import { type MissReason, makeSurfaceTouch } from './surface-touch.ts';
import { type CrownMotion, movePoint } from './tooth-motion.ts';
import { makeViewCamera } from './view-camera.ts';
import {
  contactPlace,
  fitMarksShown,
  jawShown,
  motionsShown,
  numberPlaces,
  sameNumberPlaces,
  sameWords,
  type ViewContent,
} from './view-content.ts';
import { makeWholeSight } from './whole-sight.ts';

/**
 * `ready`; `unavailable`: this browser draws no WebGL; `failed`: what draws could not be fetched or begun; `lost`: the
 * graphics card took the picture away for now.
 */
export type ViewState = 'ready' | 'unavailable' | 'failed' | 'lost';

export interface ViewActions {
  pick(hit: SurfaceHit): void;
  selectContact(key: ContactKey | null): void;
  moveClick(index: number, point: Vec3): void;
  removeClick(index: number): void;
  acceptProposal(tooth: ToothNumber): void;
  placeProposal(tooth: ToothNumber, point: Vec3): void;
  paint(piece: StrokePiece): void;
  /** A click met nothing; null: whatever is done now, that has been read. */
  missed(reason: MissReason | null): void;
  /** Not told before it is known. */
  stateChanged(state: ViewState): void;
  /** The worker that draws cannot, or has died: the view is of no use any more, one that the page draws is to be made. */
  drawnNoMore(why: string): void;
  /** A scan has come that is not drawn yet; false: it is, or there is none. */
  preparing(is: boolean): void;
  /** The tooth under the resting pointer, null over gum and ground. */
  hovered(tooth: ToothNumber | null): void;
}

/** How somebody looks at the scan that is shown. */
export interface Standpoint {
  readonly pose: CameraPose;
  /** Somebody has moved the camera by hand. */
  readonly isChosen: boolean;
}

/** The view of the scan: plain and disposable. Draws only when something changed. */
export interface ScanView {
  update(content: ViewContent): void;
  lookFrom(view: NamedView): void;
  /** The whole scan, as it is turned now. */
  fit(): void;
  /** Turns by so many degrees: to the right, downwards. */
  turnBy(yawDeg: number, pitchDeg: number): void;
  panBy(rightPx: number, downPx: number): void;
  zoomBy(factor: number): void;
  /** Clicks what lies in the middle of the view, for work by keyboard. */
  pickCentre(): void;
  /** Reads the colours of the style sheet again, after a change of theme. */
  readColours(): void;
  /** Null until the scan is looked at. */
  standpoint(): Standpoint | null;
  dispose(): void;
}

/** @param from - how the first scan is looked at; null: from above */
export function makeScanView(
  host: HTMLElement,
  by: DrawnBy,
  actions: ViewActions,
  from: Standpoint | null = null,
): ScanView {
  const start = { target: [0, 0, 0], rotation: [0, 0, 0, 1], heightMm: 70 } as const;
  const eye = makeViewCamera(start);
  /** As the picture has it that one sees: words lie over that one, and what is clicked is clicked on it. */
  const seen = makeViewCamera(start);
  let asked = seen.shot();

  let content: ViewContent | null = null;
  let motions: ReadonlyMap<ToothNumber, CrownMotion> = new Map();
  let numbers: readonly NumberPlace[] = [];
  let display: Display | null = null;
  let labelsAsked: ViewContent['labels'] = null;
  /** Until the camera is moved by hand, the view keeps the whole scan in sight by itself. */
  let touched = false;
  /** For the first scan. */
  let standpoint = from;
  /** Of a scan that has come: what draws has none of it, has it, is asked for a picture with it. */
  let arrival: 'awaited' | 'handed over' | 'asked for' | null = null;

  const frames = makeFrameLoop({
    advance: eye.advance,
    ask() {
      asked = eye.shot();
      if (arrival === 'handed over') arrival = 'asked for';
      picture.draw(eye.state());
    },
    show: () => seen.take(asked),
    // Before that words would stand where nothing is going to be.
    place: () => sight.isKnown() && overlay?.place(projection),
  });
  const requestRender = frames.request;
  const arrive = (next: typeof arrival): void => {
    arrival = next;
    actions.preparing(next !== null);
  };
  const drawn = (): void => {
    if (arrival === 'asked for') arrive(null);
    frames.drawn();
  };
  const sight = makeWholeSight(eye, () => content);
  const touch = makeSurfaceTouch({
    eye: seen,
    content: () => content,
    isSimulated: () => motions.size > 0,
    pick: actions.pick,
    paint: actions.paint,
    missed: actions.missed,
  });
  const { hitAt } = touch;

  let overlay: Overlay | null = null;
  const picture = makePicture(host, by, {
    resized(width, height) {
      eye.resize(width, height);
      if (sight.isKnown() && !touched && content?.selected === null) sight.refit();
      // At once: until then the picture is stretched.
      frames.now();
    },
    heard(news) {
      if (news.kind === 'drawn') drawn();
      else if (news.kind === 'gone') actions.drawnNoMore(news.why);
      else if (news.kind === 'begun') actions.stateChanged('ready');
      else if (news.kind === 'restored') {
        actions.stateChanged('ready');
        requestRender();
      } else actions.stateChanged(news.kind);
    },
  });

  const restoration = makeRestorationDisplay((arrays) => {
    picture.setRestoration(arrays);
    requestRender();
  });

  const pickAt = (x: number, y: number): void => {
    // Before the scan is looked at, no place of the view is one of the scan.
    if (content === null || content.mode === 'look' || !sight.isKnown()) return;
    // Whoever clicks has chosen this sight: it must not turn under the next click.
    touched = true;
    actions.missed(null);
    touch.pickAt(x, y);
  };
  const projection: Projection = {
    get width() {
      return seen.width;
    },
    get height() {
      return seen.height;
    },
    get pxPerMm() {
      return 1 / seen.mmPerPx();
    },
    project: seen.project,
    visible: touch.visible,
    moved: (tooth, point) => {
      const motion = tooth === 'gum' ? undefined : motions.get(tooth);
      return motion === undefined ? point : movePoint(motion, point);
    },
  };
  overlay = makeOverlay(host, {
    select: actions.selectContact,
    removeClick: actions.removeClick,
    ...proposalActions({
      surfaceUnder(clientX, clientY) {
        const box = picture.canvas.getBoundingClientRect();
        return hitAt(clientX - box.left, clientY - box.top)?.point ?? null;
      },
      preview(pin) {
        overlay?.previewProposal(pin);
        frames.words();
      },
      accept: actions.acceptProposal,
      place: actions.placeProposal,
    }),
    ...pinActions({
      canvas: picture.canvas,
      hitAt,
      preview(pin) {
        overlay?.previewPin(pin);
        frames.words();
      },
      placeOf: (index) => {
        const click = content?.clicks[index];
        return click === undefined ? null : seen.project(click.point);
      },
      moveClick: actions.moveClick,
    }),
  });
  const steering = makeSteering(host, eye, {
    surfaceAt: (x, y) => hitAt(x, y)?.point ?? null,
    click: pickAt,
    paints: (x, y) => content?.mode === 'paint' && hitAt(x, y) !== null,
    paint(x, y, begins) {
      touched = true;
      touch.paint(x, y, begins);
    },
    hover(place) {
      const hit = place === null ? null : hitAt(place.x, place.y);
      const label = hit === null ? 0 : (content?.labels?.[hit.triangle] ?? 0);
      host.classList.toggle('over-scan', hit !== null);
      actions.hovered(label === 0 ? null : label);
    },
    moved() {
      touched = true;
      actions.missed(null);
      requestRender();
    },
  });

  const lookFrom = (view: NamedView): void => {
    sight.flyTo(view);
    requestRender();
  };
  const beginSight = (next: ScanSight, pose: CameraPose | null): void => {
    sight.begin(next, pose);
    // No picture of the scan is there yet; its words have their places at once.
    asked = eye.shot();
    seen.take(asked);
    frames.words();
  };
  const showScan = (scan: DisplayScan | null): void => {
    display?.stop();
    display = null;
    labelsAsked = null;
    touch.setPicker(null);
    const stood = standpoint;
    standpoint = null;
    touched = stood?.isChosen ?? false;
    sight.clear();
    overlay?.hide();
    picture.clear();
    arrive(scan === null ? null : 'awaited');
    if (scan === null) return;
    const { positions, normals, triangles, colors } = scan;
    display = openDisplay({ positions, normals, triangles, colors }, (reply) => {
      requestRender();
      if (reply.kind === 'labels') return picture.setLabelled(reply);
      if (reply.kind === 'sight') beginSight(reply.sight, stood?.pose ?? null);
      else if (reply.kind === 'surface') {
        picture.setSurface(reply.arrays);
        arrival = 'handed over';
      } else touch.setPicker(makePicker(positions, triangles, reply.tree));
      return null;
    });
  };
  const showLabels = (labels: ViewContent['labels']): void => {
    if (labels === labelsAsked) return;
    labelsAsked = labels;
    display?.setLabels(labels);
  };
  const update = (next: ViewContent): void => {
    const before = content;
    content = next;
    if (before?.mode !== next.mode || before.clicks !== next.clicks || before.scan !== next.scan)
      actions.missed(null);
    if (before?.scan?.scanId !== next.scan?.scanId) showScan(next.scan);
    // The first frame turns the view upright, unless somebody has already turned it himself.
    const isFirst = next.frame !== null && before?.frame !== next.frame;
    if (isFirst && sight.isKnown() && !touched && next.selected === null) lookFrom('above');
    showLabels(next.labels);
    motions = motionsShown(next);
    picture.setEarlier(next.earlier ?? null);
    restoration.set(next.restoration ?? null);
    const hasOtherNumbers = before === null || !sameNumberPlaces(before, next);
    if (hasOtherNumbers) numbers = numberPlaces(next);
    const chosen = next.contacts.find((c) => contactKey(c) === next.selected);
    const isVisible = (next.earlier?.share ?? 0) < 1;
    picture.setLook({
      isVisible,
      // It belongs between the crowns as they were scanned.
      showsRestoration: isVisible && next.showsRestoration && motions.size === 0,
      scanColours: next.scan !== null && next.scan.colors !== null && next.scanColours,
      motions,
      selected: chosen === undefined ? [] : [chosen.toothA, chosen.toothB],
    });
    if (chosen !== undefined && before?.selected !== next.selected && next.frame !== null) {
      const place = contactPlace(chosen);
      if (place !== null) eye.flyTo(contactPose(place, chosen.closingDirection, next.frame, jawShown(next)));
    }
    host.dataset.mode = next.mode;
    overlay?.setContent({
      clicks: next.clicks,
      proposals: next.proposals,
      numbers,
      teeth: next.teeth,
      contacts: next.contacts,
      selected: next.selected,
      fitMarks: fitMarksShown(next),
      numbering: next.numbering,
      // Under the brush pins are only shown: they would be in its way.
      editable: next.mode === 'click-tooth' || next.mode === 'click-gum',
      simulated: motions.size > 0,
    });
    // A pin that somebody sets is never anywhere else, not even within the turn.
    const hasOtherPins = before?.clicks !== next.clicks || before.proposals !== next.proposals;
    if (hasOtherPins && sight.isKnown()) overlay?.place(projection);
    else if (hasOtherNumbers || !sameWords(before, next)) frames.words();
    requestRender();
  };
  const readColours = (): void => {
    picture.setColours(coloursOf(host));
    requestRender();
  };

  readColours();
  return {
    update,
    lookFrom,
    fit() {
      sight.fit();
      requestRender();
    },
    turnBy: steering.turnBy,
    panBy: steering.panBy,
    zoomBy: steering.zoomBy,
    pickCentre() {
      // Keys are obeyed in turn: it is the middle to which those before this one have turned and shifted.
      seen.take(eye.shot());
      pickAt(seen.width / 2, seen.height / 2);
    },
    readColours,
    standpoint: () => (sight.isKnown() ? { pose: eye.destination(), isChosen: touched } : null),
    dispose() {
      frames.stop();
      display?.stop();
      restoration.stop();
      steering.dispose();
      overlay?.dispose();
      picture.dispose();
    },
  };
}

/** Stands in where nothing can be drawn: the rest of the page goes on. */
export function blankView(): ScanView {
  const nothing = (): void => {};
  return {
    update: nothing,
    lookFrom: nothing,
    fit: nothing,
    turnBy: nothing,
    panBy: nothing,
    zoomBy: nothing,
    pickCentre: nothing,
    readColours: nothing,
    standpoint: () => null,
    dispose: nothing,
  };
}

function coloursOf(host: HTMLElement): ViewColours {
  const style = getComputedStyle(host);
  const read = (name: string): string => style.getPropertyValue(name).trim();
  return {
    toothA: read('--tooth-a'),
    toothB: read('--tooth-b'),
    gum: read('--gum'),
    outline: read('--tooth-outline'),
    plain: read('--scan-plain'),
    earlier: read('--view-earlier'),
    restoration: read('--view-restoration'),
  };
}
