import { Scene, WebGLRenderer } from 'three';
import type { Vec3 } from '../../geometry/types.ts';
import type { ToothNumber } from '../../teeth/types.ts';
import { type ContactKey, contactKey, type DisplayScan } from '../kernel/display-types.ts';
import {
  type CameraPose,
  contactPose,
  fitPose,
  type NamedView,
  panned,
  sightOf,
  sightRotation,
  turned,
  type ViewArea,
  zoomed,
} from './camera-pose.ts';
import { requestDisplay } from './display-client.ts';
import { makeOverlay, type NumberPlace, type Projection } from './overlay.ts';
import { makePicker, type Picker, type SurfaceHit } from './picker.ts';
import { listenToGestures } from './pointer-gestures.ts';
import { boundingSphere, makeSurfaceLayer, sampleVertices, type ViewColours } from './surface-layer.ts';
import { type CrownMotion, movePoint } from './tooth-motion.ts';
import { makeViewCamera } from './view-camera.ts';
import {
  contactPlace,
  jawShown,
  motionsShown,
  numberPlaces,
  sameNumberPlaces,
  type ViewContent,
} from './view-content.ts';

/** `ready`; `unavailable`: this browser draws no WebGL; `lost`: the graphics card took the picture away for now. */
export type ViewState = 'ready' | 'unavailable' | 'lost';

export interface ViewActions {
  pick(point: Vec3): void;
  selectContact(key: ContactKey | null): void;
  moveClick(index: number, point: Vec3): void;
  removeClick(index: number): void;
  stateChanged(state: ViewState): void;
  /** The tooth under the resting pointer, null over gum and ground. */
  hovered(tooth: ToothNumber | null): void;
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
  dispose(): void;
}

/** One CSS pixel of dragging turns by this much. */
const TURN_RAD_PER_PX = 0.0085;
/** More device pixels than this per CSS pixel are not seen. */
const MAX_PIXEL_RATIO = 2;
/** Free rim around a fitted scan: the buttons above, tooth numbers beside, the scale bar below. */
const RIM_PX = { top: 84, side: 44, bottom: 52 };
/** Vertices looked at to fit the view around the scan. */
const FIT_SAMPLE = 6000;

export function makeScanView(host: HTMLElement, actions: ViewActions): ScanView {
  const renderer = makeRenderer();
  if (renderer === null) {
    actions.stateChanged('unavailable');
    return blankView();
  }
  const canvas = renderer.domElement;
  canvas.className = 'scan-view-canvas';
  host.prepend(canvas);
  const scene = new Scene();
  const layer = makeSurfaceLayer();
  scene.add(layer.object);
  const eye = makeViewCamera({ target: [0, 0, 0], rotation: [0, 0, 0, 1], heightMm: 70 });

  let content: ViewContent | null = null;
  let picker: Picker | null = null;
  let motions: ReadonlyMap<ToothNumber, CrownMotion> = new Map();
  let numbers: readonly NumberPlace[] = [];
  let fitPoints: Float32Array = new Float32Array(0);
  let stopPreparing = (): void => {};
  let pivot: Vec3 = [0, 0, 0];
  let dragged: { readonly index: number; readonly point: Vec3 } | null = null;
  let frameRequest = 0;
  let lost = false;

  const requestRender = (): void => {
    if (frameRequest === 0) frameRequest = requestAnimationFrame(render);
  };
  const render = (now: number): void => {
    frameRequest = 0;
    const flying = eye.advance(now);
    if (!lost) renderer.render(scene, eye.camera);
    overlay.place(projection);
    if (flying) requestRender();
  };

  const hitAt = (x: number, y: number): SurfaceHit | null => {
    if (picker === null || motions.size > 0) return null;
    const { origin, direction } = eye.rayAt(x, y);
    return picker.hit(origin, direction);
  };
  const pickAt = (x: number, y: number): void => {
    if (content === null) return;
    const hit = content.mode === 'look' ? null : hitAt(x, y);
    if (hit !== null) actions.pick(hit.point);
  };

  const projection: Projection = {
    get width() {
      return eye.width;
    },
    get height() {
      return eye.height;
    },
    get pxPerMm() {
      return 1 / eye.mmPerPx();
    },
    project: eye.project,
    visible: (point, grace) => picker === null || picker.hit(point, eye.towardsEye(), grace) === null,
    moved: (tooth, point) => {
      const motion = tooth === 'gum' ? undefined : motions.get(tooth);
      return motion === undefined ? point : movePoint(motion, point);
    },
  };

  const endDrag = (): void => {
    dragged = null;
    overlay.previewPin(null);
    requestRender();
  };
  const overlay = makeOverlay(host, {
    select: actions.selectContact,
    removeClick: actions.removeClick,
    dragPin(index, clientX, clientY) {
      const box = canvas.getBoundingClientRect();
      const hit = hitAt(clientX - box.left, clientY - box.top);
      if (hit === null) return;
      dragged = { index, point: hit.point };
      overlay.previewPin(dragged);
      requestRender();
    },
    dropPin() {
      const drop = dragged;
      endDrag();
      if (drop !== null) actions.moveClick(drop.index, drop.point);
    },
    cancelDrag: endDrag,
    nudgePin(index, dx, dy) {
      const click = content?.clicks[index];
      if (click === undefined) return;
      const at = eye.project(click.point);
      const hit = hitAt(at.x + dx, at.y + dy);
      if (hit !== null) actions.moveClick(index, hit.point);
    },
  });

  const area = (): ViewArea => ({ width: eye.width, height: eye.height, ...RIM_PX });
  const middleX = (x: number): number => (x - eye.width / 2) * eye.mmPerPx();
  const middleY = (y: number): number => (eye.height / 2 - y) * eye.mmPerPx();
  const setPose = (pose: CameraPose): void => {
    eye.setPose(pose);
    requestRender();
  };
  const stopListening = listenToGestures(host, {
    turnStart(x, y) {
      // The place that was grabbed is the pivot; over the ground it is the middle of the view.
      pivot = hitAt(x, y)?.point ?? eye.pose().target;
    },
    turn: (dx, dy) => setPose(turned(eye.pose(), pivot, dx * TURN_RAD_PER_PX, dy * TURN_RAD_PER_PX)),
    pan: (dx, dy) => setPose(panned(eye.pose(), dx * eye.mmPerPx(), -dy * eye.mmPerPx())),
    zoom: (factor, x, y) => setPose(zoomed(eye.pose(), factor, middleX(x), middleY(y))),
    roll(angle, x, y) {
      const { origin } = eye.rayAt(x, y);
      setPose(turned(eye.pose(), origin, 0, 0, -angle));
    },
    click: pickAt,
    hover(place) {
      const hit = place === null ? null : hitAt(place.x, place.y);
      const label = hit === null ? 0 : (content?.labels?.[hit.triangle] ?? 0);
      host.classList.toggle('over-scan', hit !== null);
      actions.hovered(label === 0 ? null : label);
    },
  });

  const resize = (): void => {
    const { clientWidth: width, clientHeight: height } = host;
    if (width === 0 || height === 0) return;
    const ratio = Math.min(window.devicePixelRatio, MAX_PIXEL_RATIO);
    renderer.setPixelRatio(ratio);
    renderer.setSize(width, height);
    layer.setPixels(width * ratio, height * ratio, ratio);
    eye.resize(width, height);
    requestRender();
  };
  const watcher = new ResizeObserver(resize);
  watcher.observe(host);

  const onLost = (event: Event): void => {
    event.preventDefault();
    lost = true;
    actions.stateChanged('lost');
  };
  const onRestored = (): void => {
    lost = false;
    actions.stateChanged('ready');
    requestRender();
  };
  canvas.addEventListener('webglcontextlost', onLost);
  canvas.addEventListener('webglcontextrestored', onRestored);

  const readColours = (): void => {
    layer.setColours(coloursOf(host));
    requestRender();
  };

  const showScan = (scan: DisplayScan | null): void => {
    stopPreparing();
    picker = null;
    layer.setScan(scan);
    if (scan === null) return;
    const { centre, radiusMm } = boundingSphere(scan.positions);
    eye.setBounds(centre, radiusMm);
    fitPoints = sampleVertices(scan.positions, FIT_SAMPLE);
    const { positions, normals, triangles } = scan;
    stopPreparing = requestDisplay({ positions, normals, triangles }, (reply) => {
      if (reply.kind === 'shade') layer.setShade(reply.shade);
      else picker = makePicker(positions, triangles, reply.tree);
      requestRender();
    });
  };

  const rotationFor = (view: NamedView): CameraPose['rotation'] =>
    sightRotation(sightOf(view, content?.frame ?? null, content === null ? 'upper' : jawShown(content)));
  const lookFrom = (view: NamedView): void => {
    eye.flyTo(fitPose(fitPoints, rotationFor(view), area()));
    requestRender();
  };

  const update = (next: ViewContent): void => {
    const before = content;
    content = next;
    if (before?.scan?.scanId !== next.scan?.scanId) {
      showScan(next.scan);
      eye.setPose(fitPose(fitPoints, rotationFor('above'), area()));
    } else if (next.frame !== null && before?.frame === null && next.scan !== null) lookFrom('above');
    layer.setLabels(next.labels);
    layer.setScanColours(next.scan !== null && next.scan.colors !== null && next.scanColours);
    motions = motionsShown(next);
    if (before === null || !sameNumberPlaces(before, next)) numbers = numberPlaces(next);
    layer.setMotions(motions);
    const chosen = next.contacts.find((c) => contactKey(c) === next.selected);
    layer.setSelected(chosen === undefined ? [] : [chosen.toothA, chosen.toothB]);
    if (chosen !== undefined && before?.selected !== next.selected && next.frame !== null) {
      const place = contactPlace(chosen);
      if (place !== null) eye.flyTo(contactPose(place, chosen.closingDirection, next.frame, jawShown(next)));
    }
    host.dataset.mode = next.mode;
    overlay.setContent({
      clicks: next.clicks,
      numbers,
      fixed: new Set(next.teeth.filter((t) => t.fixed).map((t) => t.tooth)),
      contacts: next.contacts,
      selected: next.selected,
      numbering: next.numbering,
      editable: next.mode !== 'look',
    });
    requestRender();
  };

  resize();
  readColours();
  actions.stateChanged('ready');
  return {
    update,
    lookFrom,
    fit() {
      eye.flyTo(fitPose(fitPoints, eye.destination().rotation, area()));
      requestRender();
    },
    turnBy(yawDeg, pitchDeg) {
      const rad = Math.PI / 180;
      setPose(turned(eye.pose(), eye.pose().target, yawDeg * rad, pitchDeg * rad));
    },
    panBy: (rightPx, downPx) => setPose(panned(eye.pose(), rightPx * eye.mmPerPx(), -downPx * eye.mmPerPx())),
    zoomBy: (factor) => setPose(zoomed(eye.pose(), factor, 0, 0)),
    pickCentre: () => pickAt(eye.width / 2, eye.height / 2),
    readColours,
    dispose() {
      cancelAnimationFrame(frameRequest);
      stopPreparing();
      stopListening();
      watcher.disconnect();
      canvas.removeEventListener('webglcontextlost', onLost);
      canvas.removeEventListener('webglcontextrestored', onRestored);
      overlay.dispose();
      layer.dispose();
      renderer.dispose();
      canvas.remove();
    },
  };
}

/** Null where the browser has no WebGL: three throws from its constructor. */
function makeRenderer(): WebGLRenderer | null {
  try {
    const renderer = new WebGLRenderer({ antialias: true, alpha: true, powerPreference: 'high-performance' });
    renderer.setClearAlpha(0);
    return renderer;
  } catch {
    return null;
  }
}

/** Stands in where nothing can be drawn: the rest of the page goes on. */
function blankView(): ScanView {
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
  };
}
