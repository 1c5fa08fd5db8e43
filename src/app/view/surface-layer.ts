import {
  BufferAttribute,
  BufferGeometry,
  Float32BufferAttribute,
  Group,
  InstancedBufferAttribute,
  InstancedBufferGeometry,
  type Material,
  Mesh,
  Sphere,
  Vector3,
} from 'three';
import { toothSortIndex } from '../../teeth/notation.ts';
import type { ToothNumber } from '../../teeth/types.ts';
import { applyPatch } from './block-patch.ts';
import { boundingSphere, sampleVertices } from './bounding-sphere.ts';
import { makeCrownTables, makeLineMaterial, makeSurfaceMaterial } from './crown-shaders.ts';
import { SLOT_COUNT, slotOf } from './display-mesh.ts';
import type { LabelledSurface, SurfacePatch } from './display-messages.ts';
import type { ViewColours } from './drawing-messages.ts';
import type { OutlineArrays, SurfaceArrays } from './drawn-surface.ts';
import type { CrownMotion } from './tooth-motion.ts';

/** Outlines lie this far in front of the surface: more than smoothing moves them, less than a crown is thick. */
const OUTLINE_LIFT_MM = 0.22;
const OUTLINE_WIDTH_PX = 1.5;
/** Light added to the two crowns beside the selected contact, linear. */
const SELECTED_LIFT = 0.05;
/** Share of its tint that the inside of the surface shows, seen through the open bottom of a scan. */
const INSIDE_SHARE = 0.45;

/** Vertices that the sphere around the surface is made from. */
const SPHERE_SAMPLE = 4000;

/** The scan as two draw calls: the surface and the outlines of its teeth. */
export interface SurfaceLayer {
  readonly object: Group;
  readonly materials: readonly Material[];
  /** Shows nothing until the next surface is there. */
  clear(): void;
  /** Takes the arrays over. */
  setSurface(arrays: SurfaceArrays): void;
  /** The same surface under other labels. */
  setLabelled(surface: LabelledSurface): void;
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
  let colours: ViewColours | null = null;
  let present: readonly ToothNumber[] | null = null;
  let surfaceMesh: Mesh | null = null;
  let outlineMesh: Mesh | null = null;

  const remove = (mesh: Mesh | null): null => {
    if (mesh === null) return null;
    object.remove(mesh);
    mesh.geometry.dispose();
    return null;
  };
  const setSurface = (arrays: SurfaceArrays): void => {
    remove(surfaceMesh);
    surfaceMesh = new Mesh(surfaceGeometry(arrays), surface.material);
    surfaceMesh.frustumCulled = false;
    object.add(surfaceMesh);
  };
  const applyTints = (): void => {
    if (colours === null) return;
    surface.inside.set(colours.plain).multiplyScalar(INSIDE_SHARE);
    outline.colour.set(colours.outline);
    if (present === null) {
      for (const tint of surface.tint) tint.set(colours.plain);
      return;
    }
    surface.tint[0]!.set(colours.gum);
    for (const [tooth, first] of alternateTints(present)) {
      surface.tint[slotOf(tooth)]!.set(first ? colours.toothA : colours.toothB);
    }
  };

  return {
    object,
    materials: [surface.material, outline.material],
    clear() {
      surfaceMesh = remove(surfaceMesh);
      outlineMesh = remove(outlineMesh);
      present = null;
      applyTints();
    },
    setSurface,
    setLabelled({ change, outlines, present: teeth }) {
      if (change.kind === 'whole') setSurface(change.arrays);
      else if (surfaceMesh !== null) patchGeometry(surfaceMesh.geometry, change.patch);
      outlineMesh = remove(outlineMesh);
      if (outlines.slot.length > 0) {
        outlineMesh = makeOutlineMesh(outlines, outline.material);
        object.add(outlineMesh);
      }
      present = teeth;
      applyTints();
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
      remove(surfaceMesh);
      remove(outlineMesh);
      surface.material.dispose();
      outline.material.dispose();
    },
  };
}

function surfaceGeometry({ position, normal, shade, paint, index }: SurfaceArrays): BufferGeometry {
  const geometry = new BufferGeometry();
  geometry.setAttribute('position', new BufferAttribute(position, 3));
  geometry.setAttribute('normal', new BufferAttribute(normal, 3));
  geometry.setAttribute('shade', new BufferAttribute(shade, 1));
  geometry.setAttribute('paint', new BufferAttribute(paint, 4));
  geometry.setIndex(new BufferAttribute(index, 1));
  // It only orders what is drawn; left out, it would be computed of every vertex within the first frame.
  const { centre, radiusMm } = boundingSphere(sampleVertices(position, SPHERE_SAMPLE));
  geometry.boundingSphere = new Sphere(new Vector3(...centre), radiusMm);
  return geometry;
}

/** Changes the arrays in place; only the changed runs go to the graphics card. */
function patchGeometry(geometry: BufferGeometry, { index, ...patches }: SurfacePatch): void {
  const change = (attribute: BufferAttribute, patch: SurfacePatch[keyof SurfacePatch]): void => {
    if (patch.starts.length === 0) return;
    applyPatch(attribute.array as typeof patch.values, patch, (start, length) =>
      attribute.addUpdateRange(start, length),
    );
    attribute.needsUpdate = true;
  };
  for (const [name, patch] of Object.entries(patches))
    change(geometry.getAttribute(name) as BufferAttribute, patch);
  change(geometry.getIndex()!, index);
}

/** Every second tooth of those present gets the second tint, so that neighbours differ. */
function alternateTints(present: readonly ToothNumber[]): Map<ToothNumber, boolean> {
  const teeth = present.toSorted((a, b) => toothSortIndex(a) - toothSortIndex(b));
  return new Map(teeth.map((tooth, i) => [tooth, i % 2 === 0]));
}

function makeOutlineMesh({ from, to, slot }: OutlineArrays, material: Mesh['material']): Mesh {
  const geometry = new InstancedBufferGeometry();
  geometry.setAttribute('position', new Float32BufferAttribute([0, -1, 0, 1, -1, 0, 1, 1, 0, 0, 1, 0], 3));
  geometry.setIndex([0, 1, 2, 0, 2, 3]);
  geometry.setAttribute('from', new InstancedBufferAttribute(from, 3));
  geometry.setAttribute('to', new InstancedBufferAttribute(to, 3));
  geometry.setAttribute('slot', new InstancedBufferAttribute(slot, 1));
  geometry.instanceCount = slot.length;
  const mesh = new Mesh(geometry, material);
  mesh.frustumCulled = false;
  return mesh;
}
