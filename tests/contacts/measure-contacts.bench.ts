import { bench, describe } from 'vitest';
import { prepareArchSurface } from '../../src/contacts/arch-surface.ts';
import type { ContactFrame } from '../../src/contacts/contact-frame.ts';
import { measureArch } from '../../src/contacts/measure-arch.ts';
import { measurePair } from '../../src/contacts/measure-pair.ts';
import { DEFAULT_MEASURE_SETTINGS, UNCALIBRATED_SCANNER } from '../../src/contacts/settings.ts';
import { UNATTENDED } from '../../src/geometry/job-control.ts';
import { closestBetween, indexSurface } from '../../src/geometry/surface-distance.ts';
import { sphereMesh } from '../helpers/closed-meshes.ts';
import { readSyntheticCase, syntheticDataPresent } from '../helpers/synthetic-case.ts';
import { makeWallPair, sphereWall } from '../helpers/wall-pair.ts';

const frame: ContactFrame = { t: [1, 0, 0], o: [0, 0, 1], b: [0, 1, 0] };

describe('one pair of walls, 4.4 x 4.4 mm', () => {
  for (const edgeMm of [0.1, 0.2, 0.3]) {
    const { mesh, labels } = makeWallPair({
      a: sphereWall(3),
      b: sphereWall(5),
      gapMm: 0.4,
      edgeMm,
      noiseMm: 0.01,
      seed: 4,
    });
    const arch = prepareArchSurface(mesh, labels);
    bench(`measurePair, edges ${edgeMm} mm, ${mesh.triangles.length / 3} triangles`, () => {
      measurePair(arch, arch.teeth.get(11)!, arch.teeth.get(21)!, frame, UNCALIBRATED_SCANNER, 0.1);
    });
  }
});

describe('exact distance of two closed meshes of 82k triangles each', () => {
  const a = sphereMesh(4, 6);
  const b = sphereMesh(4, 6, [8.05, 0, 0]);
  bench('index both and ask', () => {
    closestBetween(indexSurface(a), indexSurface(b));
  });
  const ia = indexSurface(a);
  const ib = indexSurface(b);
  bench('ask only', () => {
    closestBetween(ia, ib);
  });
});

describe.runIf(syntheticDataPresent())('a whole arch of 280k triangles', () => {
  const c = syntheticDataPresent() ? readSyntheticCase('upper-three-spaces') : null;
  bench('measureArch, 13 contacts', async () => {
    if (c === null) return;
    const centres = new Map(c.teeth.map((tooth, i) => [tooth, c.curve.values[i]!] as const));
    await measureArch({ ...c, centres }, DEFAULT_MEASURE_SETTINGS, UNATTENDED);
  });
});
