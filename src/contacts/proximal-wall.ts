import { joinPoints } from '../geometry/join-points.ts';
import { letGo } from '../geometry/let-go.ts';
import { makePointGrid, type PointGrid } from '../geometry/point-grid.ts';
import type { Vec3 } from '../geometry/types.ts';
import { scale, vertexAt } from '../geometry/vec3.ts';
import type { ArchSurface, ToothSurface } from './arch-surface.ts';
import type { ContactFrame } from './contact-frame.ts';
import { BORDER_REACH_MM, FACING_COSINE } from './tolerances.ts';
import type { Web } from './web-between.ts';

/** The side of a tooth that faces its neighbour. Parallel arrays over its vertices. */
export interface ProximalWall {
  readonly tooth: ToothSurface;
  /** Unit direction towards the neighbour. */
  readonly towards: Vec3;
  readonly vertices: Uint32Array;
  /** Cosine of the vertex normal with `towards`. */
  readonly facing: Float32Array;
  /** Distances to the gum line, the edge of the scan and the web, each cut off at the reach, mm. */
  readonly gumMm: Float32Array;
  readonly cutMm: Float32Array;
  readonly webMm: Float32Array;
}

/** Where measuring must keep away from, for both walls of a pair. */
export interface PairBorders {
  readonly gum: PointGrid;
  readonly cut: PointGrid;
  readonly web: PointGrid;
}

/** Border points of both teeth; a papilla's gum line belongs to either. */
export function pairBorders(a: ToothSurface, b: ToothSurface, web: Web): PairBorders {
  return {
    gum: makePointGrid(joinPoints(a.gumLine, b.gumLine, web.papilla), BORDER_REACH_MM),
    cut: makePointGrid(joinPoints(a.cutLine, b.cutLine), BORDER_REACH_MM),
    web: makePointGrid(web.border, BORDER_REACH_MM),
  };
}

/**
 * Gathers the wall of one tooth: inner vertices whose normal is within 60 degrees of the direction to the neighbour.
 * @param side - 1 for tooth A (faces along t), -1 for tooth B
 */
export function proximalWall(
  arch: ArchSurface,
  tooth: ToothSurface,
  frame: ContactFrame,
  side: 1 | -1,
  borders: PairBorders,
): ProximalWall {
  const towards = scale(frame.t, side);
  const vertices = facingVertices(arch.normals, tooth.vertices, towards);
  const count = vertices.length;
  const wall = {
    tooth,
    towards,
    vertices,
    facing: new Float32Array(count),
    gumMm: new Float32Array(count),
    cutMm: new Float32Array(count),
    webMm: new Float32Array(count),
  };
  for (let i = 0; i < count; i += 1) {
    const v = vertices[i]!;
    const p = vertexAt(arch.mesh.positions, v);
    wall.facing[i] = facingOf(arch.normals, v, towards);
    wall.gumMm[i] = borders.gum.distanceTo(p);
    wall.cutMm[i] = borders.cut.distanceTo(p);
    wall.webMm[i] = borders.web.distanceTo(p);
  }
  return wall;
}

function facingVertices(normals: Float32Array, vertices: Uint32Array, towards: Vec3): Uint32Array {
  const facing = new Uint32Array(vertices.length);
  let count = 0;
  for (let i = 0; i < vertices.length; i += 1) {
    const v = vertices[i]!;
    if (facingOf(normals, v, towards) > FACING_COSINE) facing[count++] = v;
  }
  const found = facing.slice(0, count);
  letGo(facing);
  return found;
}

/** Cosine of a vertex normal with a direction. */
function facingOf(normals: Float32Array, v: number, towards: Vec3): number {
  return normals[3 * v]! * towards[0] + normals[3 * v + 1]! * towards[1] + normals[3 * v + 2]! * towards[2];
}

/** Which vertices of a wall may be used. */
export interface WallMargins {
  readonly gumMm: number;
  readonly webMm: number;
  readonly facing: number;
}

/** The usable part of a wall: places in its arrays, and the triangles all of whose corners are usable. */
export interface WallRegion {
  readonly wall: ProximalWall;
  readonly margins: WallMargins;
  /** Places in `wall.vertices`. */
  readonly places: Uint32Array;
  readonly triangles: Uint32Array;
}

/** One for all walls of a scan, which has far more vertices than a wall: whoever marks some takes the marks off again. */
const marks = new WeakMap<ArchSurface, Uint8Array>();

function unmarkedVertices(arch: ArchSurface): Uint8Array {
  const made = marks.get(arch) ?? new Uint8Array(arch.mesh.positions.length / 3);
  marks.set(arch, made);
  return made;
}

/** Restricts a wall to what lies beyond the margins. */
export function wallRegion(arch: ArchSurface, wall: ProximalWall, margins: WallMargins): WallRegion {
  const usable = unmarkedVertices(arch);
  const places = new Uint32Array(wall.vertices.length);
  let placeCount = 0;
  for (let i = 0; i < wall.vertices.length; i += 1) {
    if (wall.gumMm[i]! <= margins.gumMm || wall.facing[i]! <= margins.facing) continue;
    if (margins.webMm > 0 && wall.webMm[i]! <= margins.webMm) continue;
    usable[wall.vertices[i]!] = 1;
    places[placeCount++] = i;
  }
  const { triangles } = arch.mesh;
  const own = wall.tooth.triangles;
  const kept = new Uint32Array(own.length);
  let keptCount = 0;
  for (let i = 0; i < own.length; i += 1) {
    const t = own[i]!;
    if (usable[triangles[3 * t]!] && usable[triangles[3 * t + 1]!] && usable[triangles[3 * t + 2]!])
      kept[keptCount++] = t;
  }
  for (let i = 0; i < placeCount; i += 1) usable[wall.vertices[places[i]!]!] = 0;
  const region = { wall, margins, places: places.slice(0, placeCount), triangles: kept.slice(0, keptCount) };
  letGo(places, kept);
  return region;
}
