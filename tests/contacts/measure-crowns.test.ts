import { describe, expect, it } from 'vitest';
import { contactWithLimit } from '../../src/contacts/decide.ts';
import { measureCrowns } from '../../src/contacts/measure-crowns.ts';
import { DEFAULT_MEASURE_SETTINGS, UNCALIBRATED_SCANNER } from '../../src/contacts/settings.ts';
import type { ArchgapError } from '../../src/geometry/archgap-error.ts';
import type { TriangleMesh, Vec3 } from '../../src/geometry/types.ts';
import type { Scan } from '../../src/scan/types.ts';
import { boxMesh, sphereMesh } from '../helpers/closed-meshes.ts';

/** A scan record around a mesh, as the reader would give it. */
function scanOf(
  mesh: TriangleMesh,
  fileName: string,
  originMm: Vec3 = [0, 0, 0],
  unit: 'mm' | 'in' = 'mm',
): Scan {
  return {
    ...mesh,
    colors: null,
    originMm,
    source: {
      fileName,
      byteLength: 1,
      sha256: '00',
      format: 'stl-binary',
      unit: { unit, basis: 'user', sure: true, sentence: '' },
      trianglesInFile: mesh.triangles.length / 3,
      verticesInFile: mesh.positions.length / 3,
    },
    health: {
      vertices: mesh.positions.length / 3,
      triangles: mesh.triangles.length / 3,
      weldedVertices: 0,
      degenerateRemoved: 0,
      duplicatesRemoved: 0,
      components: 1,
      largestComponentTriangles: mesh.triangles.length / 3,
      openEdges: 0,
      nonManifoldEdges: 0,
      flippedEdges: 0,
      medianEdgeMm: 0.2,
      sizeMm: [1, 1, 1],
      areaMm2: 1,
      findings: [],
    },
  };
}

const RADIUS = 4;

/** Balls on an arc of the occlusal plane, patient's right to left, with the given spaces. Upper jaw: z points down. */
function ballRow(teeth: readonly number[], gaps: readonly number[], bend = 0.25) {
  let angle = -((teeth.length - 1) / 2) * bend;
  let p: Vec3 = [0, 0, 0];
  return teeth.map((tooth, i) => {
    if (i > 0) {
      const step = 2 * RADIUS + gaps[i - 1]!;
      // x to the patient's left, y to the front, z down: right-handed for the upper jaw
      p = [p[0] + step * Math.cos(angle), p[1] - step * Math.sin(angle), 0];
      angle += bend;
    }
    return { tooth, scan: scanOf(sphereMesh(RADIUS, 4, p), `${tooth}.stl`) };
  });
}

const code = async (work: Promise<unknown>) =>
  work.then(
    () => 'none',
    (error: ArchgapError) => error.code,
  );

describe('measureCrowns', () => {
  it('measures balls with known spaces, open, touching and overlapping', async () => {
    const gaps = [0.3, 0.02, -0.2, 0.6, 0.05];
    const crowns = ballRow([13, 12, 11, 21, 22, 23], gaps);
    // the order the files come in does not matter
    const analysis = await measureCrowns([...crowns].reverse(), 'upper', DEFAULT_MEASURE_SETTINGS);
    expect(analysis.kind).toBe('crowns');
    expect(analysis.sources).toHaveLength(6);
    expect(analysis.contacts.map((c) => `${c.toothA}-${c.toothB}`)).toEqual([
      '13-12',
      '12-11',
      '11-21',
      '21-22',
      '22-23',
    ]);
    analysis.contacts.forEach((contact, i) => {
      const { gap } = contact;
      // facets of 0.28 mm edges on radius 4: sagitta 2.5 um per ball; a facet's corner stands out by as much
      expect(Math.abs(gap!.valueMm - gaps[i]!)).toBeLessThan(0.012);
      expect(gap!.basis).toBe('crown-shells');
      expect(contact.bridge).toBe('none');
      expect(Math.abs(contact.clearanceMm! - gaps[i]!)).toBeLessThan(0.02);
      expect(Math.abs(contact.heightMm! - RADIUS)).toBeLessThan(0.25);
    });
    expect(analysis.contacts.map((c) => c.status)).toEqual(['open', 'closed', 'overlap', 'open', 'closed']);
    const areas = analysis.contacts.map((c) => c.contactAreas!.within50umMm2);
    // both balls lie within d of each other's surface out to where their spaces add up
    expect(areas[0]).toBe(0);
    expect(areas[2]).toBeGreaterThan(areas[1]!);
    // 0.02 + r^2 / R <= 0.05 within r^2 = 0.12: 0.377 mm2 on round balls; the facets are about as wide as that
    expect(Math.abs(areas[1]! - 0.377)).toBeLessThan(0.15);
    for (const [i, { crownContact }] of analysis.contacts.entries()) {
      // Both ways a ball's deepest point lies as deep inside the other as they overlap; facets are 2.5 um flatter.
      const overlapMm = Math.max(0, -gaps[i]!);
      expect(Math.abs(crownContact!.a.overlapMm! - overlapMm)).toBeLessThan(0.012);
      expect(Math.abs(crownContact!.b.overlapMm! - overlapMm)).toBeLessThan(0.012);
      const mean = (crownContact!.a.within50umMm2 + crownContact!.b.within50umMm2) / 2;
      expect(mean).toBeCloseTo(areas[i]!, 9);
      expect(Math.abs(crownContact!.buccalMm!)).toBeLessThan(1);
    }
  });

  it('finds the occlusal frame from numbers and places alone', async () => {
    const { frame } = await measureCrowns(
      ballRow([14, 13, 12, 11, 21, 22, 23, 24], Array(7).fill(0.1)),
      'upper',
      DEFAULT_MEASURE_SETTINGS,
    );
    expect(frame.z[2]).toBeCloseTo(1, 6);
    expect(frame.x[0]).toBeCloseTo(1, 1);
    expect(frame.y[1]).toBeCloseTo(1, 1);
  });

  it('a gap in the numbers is the site of a missing tooth', async () => {
    const analysis = await measureCrowns(ballRow([15, 13, 12], [7, 0.1]), 'upper', DEFAULT_MEASURE_SETTINGS);
    expect(analysis.contacts.map((c) => c.status)).toEqual(['missing-tooth', 'undecided']);
    expect(analysis.contacts[0]!.gap).toBeNull();
  });

  it('refuses numbers that do not follow along the row, and neighbours by number that lie apart', async () => {
    const row = ballRow([13, 12, 11, 21, 22, 23], [0.1, 0.1, 0.1, 0.1, 0.1]);
    const exchanged = row.map((crown) => ({
      ...crown,
      tooth: crown.tooth === 11 ? 21 : crown.tooth === 21 ? 11 : crown.tooth,
    }));
    const refusal = await measureCrowns(exchanged, 'upper', DEFAULT_MEASURE_SETTINGS).catch(
      (error: ArchgapError) => error,
    );
    expect(refusal).toMatchObject({ code: 'NUMBERS_OUT_OF_ORDER', kind: 'input' });
    expect((refusal as ArchgapError).message).toContain('11 and 21 seem exchanged');
    const apart = ballRow([12, 11, 21], [0.1, 8]);
    expect(await code(measureCrowns(apart, 'upper', DEFAULT_MEASURE_SETTINGS))).toBe('NUMBERS_OUT_OF_ORDER');
  });

  it('two crowns have no occlusal direction, but a space', async () => {
    const analysis = await measureCrowns(ballRow([11, 21], [0.4]), 'upper', DEFAULT_MEASURE_SETTINGS);
    expect(analysis.contacts[0]!.gap!.valueMm).toBeCloseTo(0.4, 2);
    expect(analysis.contacts[0]!.heightMm).toBeNull();
    expect(analysis.warnings.map((w) => w.code)).toEqual(['CROWNS_AS_GIVEN', 'OCCLUSAL_UNKNOWN']);
  });

  it('brings crowns to one frame when the reader moved them', async () => {
    const [a, b] = ballRow([11, 21], [0.4]) as [ReturnType<typeof ballRow>[0], ReturnType<typeof ballRow>[0]];
    const shifted = b.scan.positions.map((x, i) => (i % 3 === 0 ? x - 1000 : x));
    const moved = { tooth: 21, scan: { ...b.scan, positions: shifted, originMm: [1000, 0, 0] as Vec3 } };
    const analysis = await measureCrowns([a, moved], 'upper', DEFAULT_MEASURE_SETTINGS);
    expect(analysis.contacts[0]!.gap!.valueMm).toBeCloseTo(0.4, 2);
  });

  it('counts no scanner unless one is stated, and says so', async () => {
    const crowns = ballRow([11, 21], [0.4]);
    const drawn = await measureCrowns(crowns, 'upper', DEFAULT_MEASURE_SETTINGS);
    const { gap } = drawn.contacts[0]!;
    expect(gap!.terms.map((term) => term.name)).toEqual(['facets']);
    expect(gap!.terms[0]!.source).toContain('without an error of a scanner');
    // two sagittas of the median edge on a radius of 2 mm, rectangular, k = 2
    expect(gap!.u95Mm).toBeGreaterThan(0.005);
    expect(gap!.u95Mm).toBeLessThan(0.015);
    const scanned = await measureCrowns(crowns, 'upper', { limitMm: 0.1, scanner: UNCALIBRATED_SCANNER });
    const terms = scanned.contacts[0]!.gap!.terms.map((term) => term.name);
    expect(terms).toEqual(['facets', 'waviness', 'scale', 'systematic']);
    expect(scanned.warnings.map(({ code }) => code)).toEqual(['OCCLUSAL_UNKNOWN']);
  });

  it('crowns that cross without a corner in each other overlap, without a number', async () => {
    const bars = [
      { tooth: 11, scan: scanOf(boxMesh([-5, -1, -1], [5, 1, 1]), '11.stl') },
      { tooth: 21, scan: scanOf(boxMesh([1, -5, 0.4], [3, 5, 2.4]), '21.stl') },
    ];
    const { contacts } = await measureCrowns(bars, 'upper', DEFAULT_MEASURE_SETTINGS);
    expect(contacts[0]).toMatchObject({ status: 'overlap', gap: null, nearestMm: null });
    expect(contacts[0]!.notes).toContain('depth-unknown');
    expect(contactWithLimit(contacts[0]!, 1).status).toBe('overlap');
  });

  it('keeps what the checks of each file warned of, with the tooth', async () => {
    const [a, b] = ballRow([11, 21], [0.4]) as [ReturnType<typeof ballRow>[0], ReturnType<typeof ballRow>[0]];
    const finding = { code: 'NON_MANIFOLD_EDGES', sentence: '3 edges meet.', count: 3 } as const;
    const findings = [
      { ...finding, severity: 'warning' as const },
      { ...finding, code: 'SURFACE_CLOSED', severity: 'info' as const },
    ];
    const doubtful = { tooth: 21, scan: { ...b.scan, health: { ...b.scan.health, findings } } };
    const { warnings } = await measureCrowns([a, doubtful], 'upper', DEFAULT_MEASURE_SETTINGS);
    expect(warnings.filter(({ code }) => code === 'NON_MANIFOLD_EDGES')).toEqual([
      { code: 'NON_MANIFOLD_EDGES', sentence: 'Crown 21: 3 edges meet.', teeth: [21] },
    ]);
  });

  it('says once which crowns are coarse', async () => {
    const row = ballRow([12, 11, 21], [0.4, 0.4]);
    const coarse = (k: number, medianEdgeMm: number) => {
      const { tooth, scan } = row[k]!;
      const sentence = 'The scan is coarse.';
      const findings = [{ code: 'COARSE_SCAN', severity: 'warning' as const, sentence, count: null }];
      return { tooth, scan: { ...scan, health: { ...scan.health, medianEdgeMm, findings } } };
    };
    const said = async (crowns: typeof row) => {
      const { warnings } = await measureCrowns(crowns, 'upper', DEFAULT_MEASURE_SETTINGS);
      return warnings.filter(({ code }) => code === 'COARSE_SCAN');
    };
    const end = 'above 0.35 mm; small spaces cannot be measured well.';
    expect(await said([coarse(0, 0.44), row[1]!, coarse(2, 0.41)])).toEqual([
      {
        code: 'COARSE_SCAN',
        sentence: `Crowns 12, 21: the mesh is coarse, with median edges of 0.41 to 0.44 mm, ${end}`,
        teeth: [12, 21],
      },
    ]);
    // By their size, not as text: a file of which the unit is stated wrongly has such edges.
    expect((await said([coarse(0, 11.2), coarse(1, 9.4), coarse(2, 10)]))[0]?.sentence).toBe(
      `Crowns 12, 11, 21: the mesh is coarse, with median edges of 9.40 to 11.20 mm, ${end}`,
    );
    expect((await said([row[0]!, coarse(1, 0.4), row[2]!]))[0]?.sentence).toBe(
      `Crown 11: the mesh is coarse, with a median edge of 0.40 mm, ${end}`,
    );
  });

  it('refuses what cannot be measured, in one sentence', async () => {
    const crowns = ballRow([11, 21], [0.4]);
    const measure = (list: typeof crowns, limitMm = 0.1) => code(measureCrowns(list, 'upper', { limitMm }));
    expect(await measure(crowns.slice(0, 1))).toBe('ONE_TOOTH');
    expect(await measure([crowns[0]!, crowns[0]!])).toBe('CROWN_TWICE');
    expect(await measure([crowns[0]!, { ...crowns[1]!, tooth: 31 }])).toBe('CROWN_WRONG_JAW');
    expect(await measure(crowns, -1)).toBe('LIMIT_OUT_OF_RANGE');
    expect(await measure(crowns, Number.NaN)).toBe('LIMIT_OUT_OF_RANGE');
    const twice = measureCrowns([crowns[0]!, { ...crowns[0]!, tooth: 21 }], 'upper', { limitMm: 0.1 });
    await expect(twice).rejects.toMatchObject({ code: 'CROWNS_COINCIDE', kind: 'input' });
    await expect(twice).rejects.toThrow(/11 \(11\.stl\) and 21 \(11\.stl\) lie in one place/);
    const inches = { tooth: 21, scan: scanOf(crowns[1]!.scan, '21.stl', [0, 0, 0], 'in') };
    expect(await measure([crowns[0]!, inches])).toBe('CROWN_UNITS_DIFFER');
  });
});
