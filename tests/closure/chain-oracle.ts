import { Matrix, solve } from 'ml-matrix';
import type { BodyMotion, ChainProblem } from '../../src/closure/chain-model.ts';

/**
 * The same programme solved another way: the full, unscaled KKT system by LU, tried for every subset of the
 * inequality rows; the subset that keeps all rows and pushes only the right way is the optimum. Shares no code with
 * the solver: rows are built from finite motions of the contact points.
 */
export function bruteForceChain(problem: ChainProblem): { motions: BodyMotion[]; energy: number } | null {
  const n = problem.bodies.length * 3;
  const row = (k: number): number[] => {
    const c = problem.contacts[k]!;
    const out = new Array<number>(n).fill(0);
    for (const [index, point, sign] of [
      [c.a, c.pointA, -1],
      [c.b, c.pointB, 1],
    ] as const) {
      const body = problem.bodies[index]!;
      const rx = point[0] - body.centre[0];
      const ry = point[1] - body.centre[1];
      out[index * 3] = sign * c.direction[0];
      out[index * 3 + 1] = sign * c.direction[1];
      // d(point)/d(theta) = (-ry, rx)
      out[index * 3 + 2] = sign * (c.direction[0] * -ry + c.direction[1] * rx);
    }
    return out;
  };
  const kinds = problem.contacts.map((c) => c.kind);
  const equalities = kinds.flatMap((kind, k) => (kind === 'draw' ? [k] : []));
  const guards = kinds.flatMap((kind, k) => (kind === 'keep-apart' ? [k] : []));
  const fixedRows = problem.bodies.flatMap((body, i) => (body.fixed ? [i * 3, i * 3 + 1, i * 3 + 2] : []));
  const resistance = problem.bodies.flatMap((b) => [
    b.resistance,
    b.resistance,
    b.resistance * problem.rotationArmMm ** 2,
  ]);
  for (let mask = 0; mask < 1 << guards.length; mask += 1) {
    const active = [...equalities, ...guards.filter((_, i) => mask & (1 << i))];
    const rows = [
      ...active.map((k) => ({
        row: row(k),
        rhs: problem.contacts[k]!.targetMm - problem.contacts[k]!.gapMm,
      })),
      ...fixedRows.map((column) => ({
        row: Array.from({ length: n }, (_, j) => (j === column ? 1 : 0)),
        rhs: 0,
      })),
    ];
    const size = n + rows.length;
    const kkt = Matrix.zeros(size, size);
    const rhs = Matrix.zeros(size, 1);
    for (let j = 0; j < n; j += 1) kkt.set(j, j, resistance[j]!);
    rows.forEach((r, i) => {
      r.row.forEach((value, j) => {
        kkt.set(n + i, j, value);
        kkt.set(j, n + i, -value);
      });
      rhs.set(n + i, 0, r.rhs);
    });
    let x: number[];
    try {
      x = solve(kkt, rhs).to1DArray();
    } catch {
      continue;
    }
    const q = x.slice(0, n);
    const pushes = active.slice(equalities.length).every((_, i) => x[n + equalities.length + i]! >= -1e-7);
    const kept = guards.every((k) => {
      const change = row(k).reduce((sum, value, j) => sum + value * q[j]!, 0);
      return problem.contacts[k]!.gapMm + change >= problem.contacts[k]!.targetMm - 1e-9;
    });
    const met = rows.every(
      (r) => Math.abs(r.row.reduce((sum, value, j) => sum + value * q[j]!, 0) - r.rhs) < 1e-7,
    );
    if (pushes && kept && met) {
      return {
        motions: problem.bodies.map((_, i) => ({ dx: q[i * 3]!, dy: q[i * 3 + 1]!, theta: q[i * 3 + 2]! })),
        energy: q.reduce((sum, value, j) => sum + (value * value * resistance[j]!) / 2, 0),
      };
    }
  }
  return null;
}
