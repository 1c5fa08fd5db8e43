import { drainFlow } from './drain-flow.ts';
import { letGo } from './let-go.ts';

/** Parent marks of a node beside an arc number. */
const NONE = -1;
const TERMINAL = -2;
const ORPHAN = -3;
const FAR = 0x7fffffff;

/**
 * Smallest cut between a source and a sink, by the augmenting-path algorithm with two search trees of Boykov and
 * Kolmogorov 2004 ("An experimental comparison of min-cut/max-flow algorithms for energy minimization in vision",
 * IEEE TPAMI 26:1124), with their timestamp and distance marks, after what travels far was sent in waves
 * (`drainFlow`). One object serves many cuts: `reset` clears every link of the nodes used, as leftovers of an earlier
 * cut would make the search run in circles.
 */
export class MaxFlow {
  /**
   * Never used. The engine drops the code that it compiled for a class once no object of it is left, and between two
   * scans none is.
   */
  protected static readonly kept = new MaxFlow();
  private nodes = 0;
  private arcs = 0;
  private firstArc = new Int32Array(0);
  private parent = new Int32Array(0);
  private stamp = new Int32Array(0);
  private depth = new Int32Array(0);
  private queueNext = new Int32Array(0);
  private inSinkTree = new Uint8Array(0);
  /** Residual of the terminal link: positive from the source, negative to the sink. */
  private terminal = new Float64Array(0);
  private orphans = new Int32Array(0);
  private head = new Int32Array(0);
  private arcNext = new Int32Array(0);
  private residual = new Float64Array(0);
  private time = 0;
  private activeFirst = NONE;
  private activeLast = NONE;
  private orphanHead = 0;
  private orphanTail = 0;

  /** Begins a new graph of n nodes without arcs. */
  reset(n: number): void {
    if (this.firstArc.length < n) {
      const size = Math.max(n, 2 * this.firstArc.length);
      this.letGoNodes();
      this.firstArc = new Int32Array(size);
      this.parent = new Int32Array(size);
      this.stamp = new Int32Array(size);
      this.depth = new Int32Array(size);
      this.queueNext = new Int32Array(size);
      this.inSinkTree = new Uint8Array(size);
      this.terminal = new Float64Array(size);
      this.orphans = new Int32Array(size + 1);
    }
    this.firstArc.fill(NONE, 0, n);
    this.parent.fill(NONE, 0, n);
    this.stamp.fill(0, 0, n);
    this.depth.fill(0, 0, n);
    this.queueNext.fill(NONE, 0, n);
    this.inSinkTree.fill(0, 0, n);
    this.terminal.fill(0, 0, n);
    this.nodes = n;
    this.arcs = 0;
    this.time = 0;
    this.activeFirst = NONE;
    this.activeLast = NONE;
    this.orphanHead = 0;
    this.orphanTail = 0;
  }

  /**
   * Adds to the cost of node i: `sinkSide` is paid when it ends on the sink's side (capacity of source to i),
   * `sourceSide` when it ends on the source's side. May be called repeatedly; costs may be negative.
   */
  addTerminal(i: number, sinkSide: number, sourceSide: number): void {
    this.terminal[i] = this.terminal[i]! + sinkSide - sourceSide;
  }

  /** Adds an edge; `forward` is paid when i is on the source's side and j on the sink's, `backward` the reverse. */
  addEdge(i: number, j: number, forward: number, backward: number): void {
    if (this.arcs + 2 > this.head.length) this.growArcs();
    const arc = this.arcs;
    this.arcs += 2;
    this.head[arc] = j;
    this.head[arc + 1] = i;
    this.residual[arc] = forward;
    this.residual[arc + 1] = backward;
    this.arcNext[arc] = this.firstArc[i]!;
    this.firstArc[i] = arc;
    this.arcNext[arc + 1] = this.firstArc[j]!;
    this.firstArc[j] = arc + 1;
  }

  private growArcs(): void {
    const size = Math.max(1024, 2 * this.head.length);
    const head = new Int32Array(size);
    head.set(this.head);
    const arcNext = new Int32Array(size);
    arcNext.set(this.arcNext);
    const residual = new Float64Array(size);
    residual.set(this.residual);
    letGo(this.head, this.arcNext, this.residual);
    this.head = head;
    this.arcNext = arcNext;
    this.residual = residual;
  }

  private letGoNodes(): void {
    letGo(this.firstArc, this.parent, this.stamp, this.depth, this.queueNext, this.inSinkTree);
    letGo(this.terminal, this.orphans);
  }

  /** Gives its memory back. It is of no use afterwards. */
  letGo(): void {
    this.letGoNodes();
    letGo(this.head, this.arcNext, this.residual);
  }

  /** After `solve`: true when node i lies on the sink's side; nodes that could lie on either stay at the source. */
  onSinkSide(i: number): boolean {
    return this.parent[i] !== NONE && this.inSinkTree[i] === 1;
  }

  /**
   * Finds the cut.
   *
   * @throws RangeError when a cost is not finite: the search would never end
   */
  solve(): void {
    this.checkFinite();
    const { nodes, firstArc, arcNext, head, residual, terminal } = this;
    drainFlow({ nodes, firstArc, arcNext, head, residual, terminal }, this.depth, this.orphans);
    this.depth.fill(0, 0, nodes);
    for (let i = 0; i < this.nodes; i++) {
      const capacity = this.terminal[i]!;
      if (capacity === 0) continue;
      this.inSinkTree[i] = capacity < 0 ? 1 : 0;
      this.parent[i] = TERMINAL;
      this.depth[i] = 1;
      this.activate(i);
    }
    let current = NONE;
    for (;;) {
      let i = current;
      if (i !== NONE) {
        this.queueNext[i] = NONE;
        if (this.parent[i] === NONE) i = NONE;
      }
      if (i === NONE) {
        i = this.nextActive();
        if (i === NONE) return;
      }
      const bridge = this.grow(i);
      this.time++;
      if (bridge === NONE) {
        current = NONE;
        continue;
      }
      this.queueNext[i] = i;
      this.augment(bridge);
      this.adopt();
      current = i;
    }
  }

  private checkFinite(): void {
    let sum = 0;
    for (let i = 0; i < this.nodes; i++) sum += Math.abs(this.terminal[i]!);
    for (let arc = 0; arc < this.arcs; arc++) sum += this.residual[arc]!;
    if (!Number.isFinite(sum)) throw new RangeError('A cost of the cut is not a finite number.');
  }

  private activate(i: number): void {
    if (this.queueNext[i] !== NONE) return;
    if (this.activeLast === NONE) this.activeFirst = i;
    else this.queueNext[this.activeLast] = i;
    this.activeLast = i;
    this.queueNext[i] = i;
  }

  private nextActive(): number {
    for (;;) {
      const i = this.activeFirst;
      if (i === NONE) return NONE;
      const following = this.queueNext[i]!;
      if (following === i) {
        this.activeFirst = NONE;
        this.activeLast = NONE;
      } else this.activeFirst = following;
      this.queueNext[i] = NONE;
      if (this.parent[i] !== NONE) return i;
    }
  }

  /** Grows the tree of i over its arcs with residual; returns an arc from source tree to sink tree once they meet. */
  private grow(i: number): number {
    const { head, arcNext, residual, parent, inSinkTree, stamp, depth } = this;
    const side = inSinkTree[i]!;
    for (let arc = this.firstArc[i]!; arc !== NONE; arc = arcNext[arc]!) {
      if (residual[side === 0 ? arc : arc ^ 1]! <= 0) continue;
      const j = head[arc]!;
      if (parent[j] === NONE) {
        inSinkTree[j] = side;
        parent[j] = arc ^ 1;
        stamp[j] = stamp[i]!;
        depth[j] = depth[i]! + 1;
        this.activate(j);
      } else if (inSinkTree[j] !== side) {
        return side === 0 ? arc : arc ^ 1;
      } else if (stamp[j]! <= stamp[i]! && depth[j]! > depth[i]!) {
        // A shorter way to the terminal.
        parent[j] = arc ^ 1;
        stamp[j] = stamp[i]!;
        depth[j] = depth[i]! + 1;
      }
    }
    return NONE;
  }

  private augment(bridge: number): void {
    const { head, residual, parent, terminal } = this;
    let flow = residual[bridge]!;
    let i = head[bridge ^ 1]!;
    for (let arc = parent[i]!; arc !== TERMINAL; arc = parent[i]!) {
      if (residual[arc ^ 1]! < flow) flow = residual[arc ^ 1]!;
      i = head[arc]!;
    }
    if (terminal[i]! < flow) flow = terminal[i]!;
    i = head[bridge]!;
    for (let arc = parent[i]!; arc !== TERMINAL; arc = parent[i]!) {
      if (residual[arc]! < flow) flow = residual[arc]!;
      i = head[arc]!;
    }
    if (-terminal[i]! < flow) flow = -terminal[i]!;

    residual[bridge ^ 1] = residual[bridge ^ 1]! + flow;
    residual[bridge] = residual[bridge]! - flow;
    i = head[bridge ^ 1]!;
    for (let arc = parent[i]!; arc !== TERMINAL; arc = parent[i]!) {
      residual[arc] = residual[arc]! + flow;
      const left = residual[arc ^ 1]! - flow;
      residual[arc ^ 1] = left;
      if (left === 0) this.orphan(i);
      i = head[arc]!;
    }
    terminal[i] = terminal[i]! - flow;
    if (terminal[i] === 0) this.orphan(i);
    i = head[bridge]!;
    for (let arc = parent[i]!; arc !== TERMINAL; arc = parent[i]!) {
      residual[arc ^ 1] = residual[arc ^ 1]! + flow;
      const left = residual[arc]! - flow;
      residual[arc] = left;
      if (left === 0) this.orphan(i);
      i = head[arc]!;
    }
    terminal[i] = terminal[i]! + flow;
    if (terminal[i] === 0) this.orphan(i);
  }

  private orphan(i: number): void {
    // The arc is read before this overwrites it: callers move on from their own copy.
    this.parent[i] = ORPHAN;
    this.orphans[this.orphanTail] = i;
    this.orphanTail = this.orphanTail + 1 === this.orphans.length ? 0 : this.orphanTail + 1;
  }

  private adopt(): void {
    // A ring: a node waits in it at most once, but can come back after it was served.
    while (this.orphanHead !== this.orphanTail) {
      const i = this.orphans[this.orphanHead]!;
      this.orphanHead = this.orphanHead + 1 === this.orphans.length ? 0 : this.orphanHead + 1;
      this.rehome(i);
    }
  }

  /** Finds a new parent for an orphan in its own tree, or sets it and its children free. */
  private rehome(i: number): void {
    const { head, arcNext, residual, parent, inSinkTree, stamp, depth } = this;
    const side = inSinkTree[i]!;
    let bestArc = NONE;
    let bestDepth = FAR;
    for (let arc = this.firstArc[i]!; arc !== NONE; arc = arcNext[arc]!) {
      if (residual[side === 0 ? arc ^ 1 : arc]! <= 0) continue;
      const j = head[arc]!;
      if (inSinkTree[j] !== side || parent[j] === NONE) continue;
      let d = this.depthOfOrigin(j);
      if (d === FAR) continue;
      if (d < bestDepth) {
        bestArc = arc;
        bestDepth = d;
      }
      for (let k = j; stamp[k] !== this.time; k = head[parent[k]!]!) {
        stamp[k] = this.time;
        depth[k] = d--;
      }
    }
    if (bestArc !== NONE) {
      parent[i] = bestArc;
      stamp[i] = this.time;
      depth[i] = bestDepth + 1;
      return;
    }
    parent[i] = NONE;
    for (let arc = this.firstArc[i]!; arc !== NONE; arc = arcNext[arc]!) {
      const j = head[arc]!;
      const up = parent[j]!;
      if (inSinkTree[j] !== side || up === NONE) continue;
      if (residual[side === 0 ? arc ^ 1 : arc]! > 0) this.activate(j);
      if (up >= 0 && head[up] === i) this.orphan(j);
    }
  }

  /** Steps from j up to the terminal, or FAR when its branch ends in an orphan. */
  private depthOfOrigin(from: number): number {
    const { head, parent, stamp, depth } = this;
    let j = from;
    let d = 0;
    for (;;) {
      if (stamp[j] === this.time) return d + depth[j]!;
      const up = parent[j]!;
      d++;
      if (up === TERMINAL) {
        stamp[j] = this.time;
        depth[j] = 1;
        return d;
      }
      if (up === ORPHAN) return FAR;
      j = head[up]!;
    }
  }
}
