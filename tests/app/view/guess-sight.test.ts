// @vitest-environment node
import { existsSync, readFileSync } from 'node:fs';
import { Quaternion, Vector3 } from 'three';
import { describe, expect, it } from 'vitest';
import { guessSight } from '../../../src/app/view/guess-sight.ts';

/** The upper half of a bent sausage: an arch open at the back, as it stands on a table. */
function bentRidge(turn: Quaternion) {
  const positions: number[] = [];
  const normals: number[] = [];
  for (let i = 0; i <= 120; i++) {
    const along = (Math.PI * i) / 120;
    for (let k = 0; k <= 12; k++) {
      const around = (Math.PI * k) / 12;
      const out = new Vector3(Math.cos(along), Math.sin(along), 0);
      const normal = out
        .clone()
        .multiplyScalar(Math.cos(around))
        .add(new Vector3(0, 0, Math.sin(around)));
      const point = out.multiplyScalar(22).addScaledVector(normal, 4);
      positions.push(...point.applyQuaternion(turn).toArray());
      normals.push(...normal.applyQuaternion(turn).toArray());
    }
  }
  return { positions: Float32Array.from(positions), normals: Float32Array.from(normals) };
}

describe('guessSight', () => {
  it.each([
    ['as it stands', new Quaternion()],
    ['upside down', new Quaternion().setFromAxisAngle(new Vector3(1, 0, 0), Math.PI)],
    ['askew', new Quaternion().setFromAxisAngle(new Vector3(1, 2, 3).normalize(), 1.1)],
  ])('looks onto the ridge with the closed end of the arch up, %s', (_, turn) => {
    const { positions, normals } = bentRidge(turn);
    const sight = guessSight(positions, normals)!;
    const back = new Vector3(0, 0, 1).applyQuaternion(turn);
    const up = new Vector3(0, 1, 0).applyQuaternion(turn);
    expect(new Vector3(...sight.back).dot(back)).toBeGreaterThan(0.99);
    expect(new Vector3(...sight.up).dot(up)).toBeGreaterThan(0.99);
  });

  it('does not guess for a closed body', () => {
    const positions = Float32Array.of(1, 0, 0, -1, 0, 0, 0, 1, 0, 0, -1, 0, 0, 0, 1, 0, 0, -1);
    expect(guessSight(positions, positions)).toBeNull();
  });

  const folder = '../shared/data/synthetic/upper-three-spaces';
  const present = existsSync(folder);
  if (!present) console.warn(`${folder} is absent: the guess is not tried on a whole scan.`);
  it.runIf(present)(
    'looks at a whole scan within 20 degrees of its true occlusal direction, front up',
    () => {
      const bytes = readFileSync(`${folder}/scan.ply`);
      const start = bytes.indexOf('end_header\n') + 'end_header\n'.length;
      const count = Number(/element vertex (\d+)/.exec(bytes.toString('latin1', 0, start))![1]);
      const faces = Number(/element face (\d+)/.exec(bytes.toString('latin1', 0, start))![1]);
      const positions = new Float32Array(3 * count);
      for (let i = 0; i < count; i++) {
        for (let k = 0; k < 3; k++) positions[3 * i + k] = bytes.readFloatLE(start + 15 * i + 4 * k);
      }
      const normals = new Float32Array(3 * count);
      for (let f = 0, at = start + 15 * count; f < faces; f++, at += 13) {
        const v = [0, 1, 2].map((k) => 3 * bytes.readInt32LE(at + 1 + 4 * k));
        const corner = (k: number) => new Vector3().fromArray(positions, v[k]!);
        const normal = corner(1)
          .sub(corner(0))
          .cross(corner(2).sub(corner(0)));
        for (const i of v)
          normal.toArray().forEach((c, k) => {
            normals[i + k]! += c;
          });
      }
      for (let i = 0; i < normals.length; i += 3) {
        new Vector3().fromArray(normals, i).normalize().toArray(normals, i);
      }
      const truth = JSON.parse(readFileSync(`${folder}/truth.json`, 'utf8'));
      const sight = guessSight(positions, normals)!;
      const cos20 = Math.cos((20 * Math.PI) / 180);
      expect(new Vector3(...sight.back).dot(new Vector3(...truth.occlusal_direction))).toBeGreaterThan(cos20);
      expect(new Vector3(...sight.up).dot(new Vector3(...truth.anterior_direction))).toBeGreaterThan(cos20);
    },
  );
});
