import { faceAdjacency } from '../../../src/geometry/adjacency.ts';
import { typicalEdgeLength } from '../../../src/geometry/graph-crossing-curvature.ts';
import type { TriangleMesh, Vec3 } from '../../../src/geometry/types.ts';
import { distance, dot } from '../../../src/geometry/vec3.ts';
import type { OcclusalFrame, ToothMap, ToothNumber } from '../../../src/teeth/types.ts';
import { fillRing } from './fill-ring.ts';
import { keptFaces } from './kept-faces.ts';

interface LabelledMesh {
  readonly mesh: TriangleMesh;
  readonly labels: ToothMap;
}

/** A run of the ring along one neighbour shorter than this belongs to the gum, corners. */
const SHORTEST_RUN = 4;
/** How far the ridge sags between the papillae at a neighbour, mm. */
const SAG_MM = 1;

/**
 * Cuts a crown out, or some that stand side by side. Where the ring runs along the gum the ridge begins; where it runs over a neighbour's contact, that
 * neighbour gets an upright wall down to the height of the gum beside it.
 */
export function takeOutTeeth(
  mesh: TriangleMesh,
  labels: ToothMap,
  teeth: readonly ToothNumber[],
  frame: OcclusalFrame,
): LabelledMesh {
  const part = withoutTeeth(mesh, labels, teeth);
  const ring = longestRing(part, part.mesh);
  if (ring.length < 3) throw new Error(`no ring was found around ${teeth.join(' ')}`);
  const builder = new Builder(part.mesh, part.labels);
  const edgeMm = typicalEdgeLength(mesh);
  const foot = footOfRing(part.mesh, ring, frame, edgeMm, builder);
  fillRing(builder, foot, frame, edgeMm);
  return builder.finish();
}

/** One corner of the ring round the hole and the label of the triangle on the kept side of the edge that follows. */
interface RingCorner {
  readonly vertex: number;
  readonly label: number;
  /** 1 = that edge is part of the cut. */
  readonly cut: number;
}

interface CutMesh extends LabelledMesh {
  /** Per triangle side: 1 = the tooth lay beyond it. */
  readonly cut: Uint8Array;
}

/** All but the teeth and what hangs on by them alone. */
function withoutTeeth(mesh: TriangleMesh, labels: ToothMap, teeth: readonly ToothNumber[]): CutMesh {
  const adjacency = faceAdjacency(mesh.triangles, mesh.positions.length / 3);
  const rest = largestRest(adjacency, labels, teeth);
  const part = keptFaces(mesh, (t) => rest[t] === 1);
  const cut = new Uint8Array(part.mesh.triangles.length);
  part.from.forEach((t, k) => {
    for (let c = 0; c < 3; c += 1) {
      const beyond = adjacency[3 * t + c]!;
      if (beyond >= 0 && !rest[beyond]) cut[3 * k + c] = 1;
    }
  });
  return { mesh: part.mesh, labels: Uint8Array.from(part.from, (t) => labels[t]!), cut };
}

function largestRest(adjacency: Int32Array, labels: ToothMap, teeth: readonly ToothNumber[]): Uint8Array {
  const piece = new Int32Array(labels.length).fill(-1);
  const sizes: number[] = [];
  for (let seed = 0; seed < labels.length; seed += 1) {
    if (piece[seed] !== -1 || teeth.includes(labels[seed]!)) continue;
    const stack = [seed];
    piece[seed] = sizes.length;
    let size = 0;
    for (let t = stack.pop(); t !== undefined; t = stack.pop()) {
      size += 1;
      for (let h = 3 * t; h < 3 * t + 3; h += 1) {
        const g = adjacency[h]!;
        if (g < 0 || piece[g] !== -1 || teeth.includes(labels[g]!)) continue;
        piece[g] = sizes.length;
        stack.push(g);
      }
    }
    sizes.push(size);
  }
  const largest = sizes.indexOf(Math.max(...sizes));
  return Uint8Array.from(piece, (of) => (of === largest ? 1 : 0));
}

/**
 * The closed way of open edges with most of the cut in it, in the direction of the kept triangles; a hole of the scan that
 * the cut ran into is part of it.
 */
function longestRing({ cut, labels }: CutMesh, mesh: TriangleMesh): RingCorner[] {
  const next = new Map<number, { to: number; label: number; cut: number }[]>();
  const adjacency = faceAdjacency(mesh.triangles, mesh.positions.length / 3);
  for (let h = 0; h < cut.length; h += 1) {
    if (adjacency[h]! >= 0) continue;
    const from = mesh.triangles[h]!;
    const to = mesh.triangles[h % 3 === 2 ? h - 2 : h + 1]!;
    next.set(from, [...(next.get(from) ?? []), { to, label: labels[Math.floor(h / 3)]!, cut: cut[h]! }]);
  }
  let longest: RingCorner[] = [];
  let most = 0;
  for (const start of next.keys()) {
    const ring: RingCorner[] = [];
    const placeOf = new Map<number, number>();
    for (let v = start; ; ) {
      const step = next.get(v)?.pop();
      if (!step) break;
      placeOf.set(v, ring.length);
      ring.push({ vertex: v, label: step.label, cut: step.cut });
      v = step.to;
      const earlier = placeOf.get(v);
      if (earlier === undefined) continue;
      // A closed way; what led there stays for a further one.
      const closed = ring.splice(earlier);
      for (const corner of closed) placeOf.delete(corner.vertex);
      const share = closed.reduce((sum, corner) => sum + corner.cut, 0);
      if (share > most) [longest, most] = [closed, share];
      if (ring.length === 0) break;
    }
  }
  return longest;
}

/** The ring at the height of the gum: walls of the neighbours are built on the way. */
function footOfRing(
  mesh: TriangleMesh,
  ring: readonly RingCorner[],
  frame: OcclusalFrame,
  edgeMm: number,
  builder: Builder,
): number[] {
  const at = (vertex: number): Vec3 => pointOf(mesh.positions, vertex);
  const height = (vertex: number): number => dot(frame.z, at(vertex));
  const count = ring.length;
  const startOf = ring.findIndex(({ label }, k) => label !== ring[(k + count - 1) % count]!.label);
  const from = Math.max(0, startOf);
  const foot: number[] = [];
  for (let k = 0; k < count; ) {
    const { label } = ring[(from + k) % count]!;
    let length = 1;
    while (k + length < count && ring[(from + k + length) % count]!.label === label) length += 1;
    const run = Array.from({ length: length + 1 }, (_, i) => ring[(from + k + i) % count]!.vertex);
    k += length;
    if (label === 0 || length < SHORTEST_RUN) {
      foot.push(...run.slice(0, -1));
      continue;
    }
    const [low, high] = [height(run[0]!), height(run[length]!)];
    const along = run.map((v, i) => (i === 0 ? 0 : distance(at(v), at(run[i - 1]!))));
    for (let i = 1; i < along.length; i += 1) along[i]! += along[i - 1]!;
    const total = along[length]!;
    const columns = run.map((v, i) => {
      const share = along[i]! / total;
      const ground = low + share * (high - low) - 4 * SAG_MM * share * (1 - share);
      const fall = i === 0 || i === length ? 0 : Math.max(0, height(v) - ground);
      return builder.column(v, frame.z, fall, edgeMm);
    });
    for (let i = 0; i + 1 < columns.length; i += 1) builder.strip(columns[i]!, columns[i + 1]!, label);
    foot.push(...columns.slice(0, -1).map((column) => column.at(-1)!));
  }
  return foot;
}

function pointOf(positions: ArrayLike<number>, vertex: number): Vec3 {
  return [positions[3 * vertex]!, positions[3 * vertex + 1]!, positions[3 * vertex + 2]!];
}

/** A mesh that grows. */
export class Builder {
  readonly positions: number[];
  private readonly triangles: number[];
  private readonly labels: number[];

  constructor(mesh: TriangleMesh, labels: ToothMap) {
    this.positions = [...mesh.positions];
    this.triangles = [...mesh.triangles];
    this.labels = [...labels];
  }

  at(vertex: number): Vec3 {
    return pointOf(this.positions, vertex);
  }

  vertex(point: Vec3): number {
    this.positions.push(...point);
    return this.positions.length / 3 - 1;
  }

  face(a: number, b: number, c: number, label: number): void {
    if (a === b || b === c || c === a) return;
    this.triangles.push(a, b, c);
    this.labels.push(label);
  }

  /** Vertices from one straight down; itself alone when there is no way to fall. */
  column(top: number, up: Vec3, fall: number, edgeMm: number): number[] {
    const rows = Math.round(fall / edgeMm);
    const from = this.at(top);
    const column = [top];
    for (let row = 1; row <= rows; row += 1) {
      const by = (-fall * row) / rows;
      column.push(this.vertex([from[0] + by * up[0], from[1] + by * up[1], from[2] + by * up[2]]));
    }
    return column;
  }

  /** Triangles between two columns; the kept surface lies above them, going from the first to the second. */
  strip(a: readonly number[], b: readonly number[], label: number): void {
    let [i, j] = [0, 0];
    while (i + 1 < a.length || j + 1 < b.length) {
      const onA = i + 1 < a.length && (j + 1 >= b.length || (i + 1) * b.length <= (j + 1) * a.length);
      if (onA) {
        this.face(b[j]!, a[i]!, a[i + 1]!, label);
        i += 1;
      } else {
        this.face(b[j]!, a[i]!, b[j + 1]!, label);
        j += 1;
      }
    }
  }

  finish(): LabelledMesh {
    return {
      mesh: { positions: Float32Array.from(this.positions), triangles: Uint32Array.from(this.triangles) },
      labels: Uint8Array.from(this.labels),
    };
  }
}
