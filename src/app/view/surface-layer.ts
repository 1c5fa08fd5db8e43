import {
  BufferAttribute,
  BufferGeometry,
  Float32BufferAttribute,
  Group,
  InstancedBufferAttribute,
  InstancedBufferGeometry,
  Mesh,
  Sphere,
  Vector3,
} from 'three';
import type { Vec3 } from '../../geometry/types.ts';
import { toothSortIndex } from '../../teeth/notation.ts';
import type { ToothMap, ToothNumber } from '../../teeth/types.ts';
import type { DisplayScan } from '../kernel/display-types.ts';
import { type BorderLine, borderLines, borderSegments } from './border-lines.ts';
import { makeCrownTables, makeLineMaterial, makeSurfaceMaterial } from './crown-shaders.ts';
import { SLOT_COUNT, type SplitMesh, slotOf, splitByLabel, spread } from './display-mesh.ts';
import type { CrownMotion } from './tooth-motion.ts';

/** Colours of the view as the page's style sheet gives them. */
export interface ViewColours {
  readonly toothA: string;
  readonly toothB: string;
  readonly gum: string;
  readonly outline: string;
  /** A scan whose teeth are not known yet. */
  readonly plain: string;
}

/** Outlines lie this far in front of the surface: more than smoothing moves them, less than a crown is thick. */
const OUTLINE_LIFT_MM = 0.22;
const OUTLINE_WIDTH_PX = 1.5;
/** Light added to the two crowns beside the selected contact, linear. */
const SELECTED_LIFT = 0.05;
/** Share of its tint that the inside of the surface shows, seen through the open bottom of a scan. */
const INSIDE_SHARE = 0.45;

/** The scan as two draw calls: the surface and the outlines of its teeth. */
export interface SurfaceLayer {
  readonly object: Group;
  setScan(scan: DisplayScan | null): void;
  /** Grooves and embrasures, from the display worker. */
  setShade(shade: Float32Array): void;
  setLabels(labels: ToothMap | null): void;
  setColours(colours: ViewColours): void;
  setScanColours(on: boolean): void;
  setMotions(motions: ReadonlyMap<ToothNumber, CrownMotion>): void;
  setSelected(teeth: readonly ToothNumber[]): void;
  setPixels(width: number, height: number, pixelRatio: number): void;
  dispose(): void;
}

export function makeSurfaceLayer(): SurfaceLayer {
  const tables = makeCrownTables();
  const surface = makeSurfaceMaterial(tables);
  const outline = makeLineMaterial(tables, OUTLINE_LIFT_MM);
  const object = new Group();
  let scan: DisplayScan | null = null;
  let shade: Float32Array | null = null;
  let labels: ToothMap | null = null;
  let colours: ViewColours | null = null;
  let drawn: SplitMesh | null = null;
  let surfaceMesh: Mesh | null = null;
  let outlineMesh: Mesh | null = null;

  const removeMeshes = (): void => {
    for (const mesh of [surfaceMesh, outlineMesh]) {
      if (mesh === null) continue;
      object.remove(mesh);
      mesh.geometry.dispose();
    }
    surfaceMesh = null;
    outlineMesh = null;
  };

  const rebuild = (): void => {
    removeMeshes();
    if (scan === null) return;
    const vertexCount = scan.positions.length / 3;
    const split = labels === null ? null : splitByLabel(scan.triangles, vertexCount, labels);
    const lines = split === null || labels === null ? [] : borderLines(scan, labels, split.shared);
    drawn = split;
    const geometry = new BufferGeometry();
    const each = (values: Float32Array, width: number): BufferAttribute =>
      new BufferAttribute(split === null ? values : spread(values, width, split), width);
    geometry.setAttribute(
      'position',
      each(lines.length === 0 ? scan.positions : settled(scan.positions, lines), 3),
    );
    geometry.setAttribute('normal', each(scan.normals, 3));
    geometry.setAttribute('shade', each(shade ?? new Float32Array(vertexCount), 1));
    geometry.setAttribute('paint', paintAttribute(scan, split));
    geometry.setIndex(new BufferAttribute(split?.index ?? scan.triangles, 1));
    surfaceMesh = new Mesh(geometry, surface.material);
    surfaceMesh.frustumCulled = false;
    object.add(surfaceMesh);
    if (lines.length > 0) {
      outlineMesh = makeOutlineMesh(borderSegments(lines), outline.material);
      object.add(outlineMesh);
    }
    applyTints();
  };

  const applyTints = (): void => {
    if (colours === null) return;
    surface.inside.set(colours.plain).multiplyScalar(INSIDE_SHARE);
    outline.colour.set(colours.outline);
    if (labels === null) {
      for (const tint of surface.tint) tint.set(colours.plain);
      return;
    }
    surface.tint[0]!.set(colours.gum);
    for (const [tooth, first] of alternateTints(labels)) {
      surface.tint[slotOf(tooth)]!.set(first ? colours.toothA : colours.toothB);
    }
  };

  return {
    object,
    setScan(next) {
      scan = next;
      shade = null;
      labels = null;
      rebuild();
    },
    setShade(next) {
      shade = next;
      const attribute = surfaceMesh?.geometry.getAttribute('shade');
      if (!(attribute instanceof BufferAttribute)) return;
      attribute.copyArray(drawn === null ? next : spread(next, 1, drawn));
      attribute.needsUpdate = true;
    },
    setLabels(next) {
      if (next === labels) return;
      labels = next;
      rebuild();
    },
    setColours(next) {
      colours = next;
      applyTints();
    },
    setScanColours: surface.setScanColours,
    setMotions(motions) {
      for (let slot = 0; slot < SLOT_COUNT; slot++) tables.uMove.value[slot]!.set(0, 0, 0, 0);
      for (const [tooth, motion] of motions) {
        const slot = slotOf(tooth);
        tables.uMove.value[slot]!.set(...motion.shift, motion.angleRad);
        tables.uCentre.value[slot]!.set(...motion.centre);
        tables.uAxis.value.set(...motion.axis);
      }
    },
    setSelected(teeth) {
      for (const lift of surface.lift) lift.setScalar(0);
      for (const tooth of teeth) surface.lift[slotOf(tooth)]!.setScalar(SELECTED_LIFT);
    },
    setPixels(width, height, pixelRatio) {
      outline.setPixels(width, height, OUTLINE_WIDTH_PX * pixelRatio);
    },
    dispose() {
      removeMeshes();
      surface.material.dispose();
      outline.material.dispose();
    },
  };
}

/** The scan's positions with border vertices slid onto their smoothed lines. For drawing only. */
function settled(positions: Float32Array, lines: readonly BorderLine[]): Float32Array {
  const moved = positions.slice();
  for (const { vertices, onSurface } of lines) {
    for (let i = 0; i < vertices.length; i++) {
      moved.set(onSurface.subarray(3 * i, 3 * i + 3), 3 * vertices[i]!);
    }
  }
  return moved;
}

/** Colour of the scan (white when it has none) and shader place of the label, four bytes per display vertex. */
function paintAttribute(scan: DisplayScan, split: SplitMesh | null): BufferAttribute {
  const count = split?.source.length ?? scan.positions.length / 3;
  const paint = new Uint8Array(4 * count).fill(255);
  const { colors } = scan;
  for (let i = 0; i < count; i++) {
    if (colors !== null) {
      const from = 3 * (split === null ? i : split.source[i]!);
      paint[4 * i] = colors[from]!;
      paint[4 * i + 1] = colors[from + 1]!;
      paint[4 * i + 2] = colors[from + 2]!;
    }
    paint[4 * i + 3] = split === null ? 0 : SLOT_OF[split.label[i]!]!;
  }
  return new BufferAttribute(paint, 4);
}

/** `slotOf` of every byte. */
const SLOT_OF = Uint8Array.from({ length: 256 }, (_, label) => slotOf(label));

/** Every second tooth of those present gets the second tint, so that neighbours differ. */
function alternateTints(labels: ToothMap): Map<ToothNumber, boolean> {
  const present = new Set<number>();
  for (const label of labels) present.add(label);
  const teeth = [...present]
    .filter((t) => slotOf(t) !== 0)
    .sort((a, b) => toothSortIndex(a) - toothSortIndex(b));
  return new Map(teeth.map((t, i) => [t, i % 2 === 0]));
}

function makeOutlineMesh(
  segments: { readonly ends: Float32Array; readonly labels: Uint8Array },
  material: Mesh['material'],
): Mesh {
  const count = segments.labels.length;
  const from = new Float32Array(3 * count);
  const to = new Float32Array(3 * count);
  const slot = new Float32Array(count);
  for (let i = 0; i < count; i++) {
    from.set(segments.ends.subarray(6 * i, 6 * i + 3), 3 * i);
    to.set(segments.ends.subarray(6 * i + 3, 6 * i + 6), 3 * i);
    slot[i] = slotOf(segments.labels[i]!);
  }
  const geometry = new InstancedBufferGeometry();
  geometry.setAttribute('position', new Float32BufferAttribute([0, -1, 0, 1, -1, 0, 1, 1, 0, 0, 1, 0], 3));
  geometry.setIndex([0, 1, 2, 0, 2, 3]);
  geometry.setAttribute('from', new InstancedBufferAttribute(from, 3));
  geometry.setAttribute('to', new InstancedBufferAttribute(to, 3));
  geometry.setAttribute('slot', new InstancedBufferAttribute(slot, 1));
  geometry.instanceCount = count;
  const mesh = new Mesh(geometry, material);
  mesh.frustumCulled = false;
  return mesh;
}

/** Every k-th vertex: enough to fit the view around a scan. */
export function sampleVertices(positions: Float32Array, atMost: number): Float32Array {
  const count = positions.length / 3;
  const step = Math.max(1, Math.floor(count / atMost));
  const out = new Float32Array(3 * Math.ceil(count / step));
  for (let i = 0, j = 0; i < count; i += step, j++) out.set(positions.subarray(3 * i, 3 * i + 3), 3 * j);
  return out;
}

/** A sphere around all points: where the camera's near and far planes must lie. */
export function boundingSphere(positions: Float32Array): {
  readonly centre: Vec3;
  readonly radiusMm: number;
} {
  const points = sampleVertices(positions, 4000);
  const vectors: Vector3[] = [];
  for (let i = 0; i < points.length; i += 3)
    vectors.push(new Vector3(points[i], points[i + 1], points[i + 2]));
  const sphere = new Sphere().setFromPoints(vectors);
  return { centre: sphere.center.toArray(), radiusMm: Math.max(sphere.radius, 0) };
}
