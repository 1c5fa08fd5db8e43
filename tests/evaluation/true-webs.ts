import * as v from 'valibot';
import type { Contact } from '../../src/contacts/types.ts';
import { inputError } from '../../src/geometry/archgap-error.ts';
import type { Vec3 } from '../../src/geometry/types.ts';
import { cross, distance, dot, lerp, normalize, vertexAt } from '../../src/geometry/vec3.ts';
import type { Scan } from '../../src/scan/types.ts';
import type { ToothNumber } from '../../src/teeth/types.ts';

/** What a vertex of the file shows where a scanner laid a web between two teeth. */
const WEB = 1;
/** Edges farther than this from the rest, or fewer together, are strays, mm. */
const LINK_MM = 0.5;
const LEAST_EDGES = 3;

/** Where the true labels of two teeth meet on a web. */
export interface TrueWebs {
  readonly occlusal: Vec3;
  /** Middles of the edges, by pair, scan frame, mm. */
  readonly borders: ReadonlyMap<string, readonly Vec3[]>;
}

/** Extents of a web along the occlusal direction and across the arch, mm. */
export interface WebSize {
  readonly heightMm: number;
  readonly widthMm: number;
}

const schema = v.object({ occlusal_direction: v.tuple([v.number(), v.number(), v.number()]) });

/**
 * @param labels - true tooth per vertex of the file
 * @param bridge - what each vertex of the file shows, as ../shared/data describes it
 * @param truth - text of truth.json
 * @throws ArchgapError `TRUTH_INVALID`
 */
export function readTrueWebs(scan: Scan, labels: Uint8Array, bridge: Uint8Array, truth: string): TrueWebs {
  const told = v.safeParse(schema, JSON.parse(truth));
  if (!told.success) throw inputError('TRUTH_INVALID', 'truth.json tells no occlusal_direction.');
  const inFile = (vertex: number): number => (scan.vertexInFile ? scan.vertexInFile[vertex]! : vertex);
  const found = new Map<string, Map<string, Vec3>>();
  const { triangles, positions } = scan;
  for (let i = 0; i < triangles.length; i += 1) {
    const a = triangles[i]!;
    const b = triangles[i % 3 === 2 ? i - 2 : i + 1]!;
    const [one, other] = [labels[inFile(a)]!, labels[inFile(b)]!];
    if (one === other || !isTooth(one) || !isTooth(other)) continue;
    if (bridge[inFile(a)] !== WEB && bridge[inFile(b)] !== WEB) continue;
    const key = pairKey(one, other);
    const edges = found.get(key) ?? new Map<string, Vec3>();
    found.set(key, edges);
    // Each edge once, whichever of its triangles comes first.
    edges.set(pairKey(a, b), lerp(vertexAt(positions, a), vertexAt(positions, b), 0.5));
  }
  const borders = new Map([...found].map(([key, edges]) => [key, withoutStrays([...edges.values()])]));
  return { occlusal: normalize(told.output.occlusal_direction as Vec3), borders };
}

/** The true size of the web at a contact, across its own closing direction; null where there is none. */
export function trueWebSize(
  webs: TrueWebs,
  { toothA, toothB, closingDirection }: Pick<Contact, 'toothA' | 'toothB' | 'closingDirection'>,
): WebSize | null {
  const border = webs.borders.get(pairKey(toothA, toothB)) ?? [];
  if (border.length === 0) return null;
  const across = normalize(cross(webs.occlusal, closingDirection));
  return { heightMm: extent(border, webs.occlusal), widthMm: extent(border, across) };
}

/** Of two numbers, whichever comes first. */
function pairKey(a: number, b: number): string {
  return `${Math.min(a, b)}-${Math.max(a, b)}`;
}

function isTooth(label: ToothNumber): boolean {
  return label > 0 && label < 255;
}

function extent(points: readonly Vec3[], axis: Vec3): number {
  const at = points.map((p) => dot(p, axis));
  return Math.max(...at) - Math.min(...at);
}

/** The points that hang together with at least two others. */
function withoutStrays(points: readonly Vec3[]): Vec3[] {
  const left = new Set(points);
  const kept: Vec3[] = [];
  for (const seed of left) {
    left.delete(seed);
    const piece = [seed];
    for (const p of piece) {
      for (const q of left) {
        if (distance(p, q) > LINK_MM) continue;
        left.delete(q);
        piece.push(q);
      }
    }
    if (piece.length >= LEAST_EDGES) kept.push(...piece);
  }
  return kept;
}
