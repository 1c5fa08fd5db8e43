import { describe, expect, it } from 'vitest';
import { checkOnSurfaces } from '../../src/closure/moved-mesh.ts';
import { planClosure } from '../../src/closure/plan-closure.ts';
import { crownMotion } from '../../src/closure/play-back.ts';
import { DEFAULT_CLOSURE_SETTINGS } from '../../src/closure/settings.ts';
import { surfaceSpaces } from '../../src/closure/surface-spaces.ts';
import { measureContacts } from '../../src/contacts/measure-contacts.ts';
import { movePoint } from '../../src/geometry/rigid.ts';
import type { Vec3 } from '../../src/geometry/types.ts';
import { distance, vertexAt } from '../../src/geometry/vec3.ts';
import { bruteTriangleDistance } from '../helpers/brute-distance.ts';
import { makeScanFromArrays } from '../helpers/make-scan.ts';
import { readSyntheticCase, syntheticDataPresent } from '../helpers/synthetic-case.ts';

describe.runIf(syntheticDataPresent())('the geometry check on a synthetic scan with true labels', () => {
  it('upper-three-spaces: 17-27 closes all, and the moved crowns measure it', async () => {
    const data = readSyntheticCase('upper-three-spaces');
    const scan = makeScanFromArrays(data.mesh.positions, data.mesh.triangles);
    // Nothing was welded away, so that labels per triangle still fit.
    expect(scan.triangles.length).toBe(data.mesh.triangles.length);
    const analysis = await measureContacts(
      scan,
      data.clicks,
      { labels: data.labels, frame: data.frame, warnings: [] },
      { limitMm: 0.1 },
    );
    // What three stages leave at 23-24 lies within its uncertainty (0.045 mm, with what the gum may hide) at the limit.
    const plan = planClosure(analysis, { ...DEFAULT_CLOSURE_SETTINGS, maxStages: 4 });
    expect(plan.answer).toBe('tighten');
    expect(plan.proposal).toMatchObject({ from: 17, to: 27 });
    const molar = plan.spans.find((s) => s.from === 16 && s.to === 26)!;
    expect(molar.contacts.filter((c) => c.opened).map((c) => `${c.toothA}-${c.toothB}`)).toEqual([
      '17-16',
      '26-27',
    ]);

    const settings = { ...DEFAULT_CLOSURE_SETTINGS, maxStages: 10 };
    const measure = surfaceSpaces(scan, data.labels, analysis);
    const check = await checkOnSurfaces(analysis, settings, { from: 17, to: 27 }, measure);
    expect(check.met).toBe(true);
    expect(check.measured.map((c) => `${c.toothA}-${c.toothB}`)).toEqual(['13-12', '11-21', '23-24']);
    for (const contact of check.measured) {
      const source = analysis.contacts.find((c) => c.toothA === contact.toothA)!;
      expect(Math.abs(contact.restMm - source.nearestMm!)).toBeLessThan(0.001);
      expect(Math.abs(contact.afterMm)).toBeLessThanOrEqual(0.01);
    }

    // On the way to the whole motion, where the most stages stop, the crowns are still apart: the same spaces by enumeration of every
    // triangle within 0.8 mm of the contact points and 0.4 mm clear of the gum (in the crease the surface is not the
    // tooth's), moved corner by corner with the motions the view plays.
    const early = { ...DEFAULT_CLOSURE_SETTINGS, maxStages: 1 };
    const stopped = await checkOnSurfaces(analysis, early, { from: 17, to: 27 }, measure);
    expect(stopped.outcome.verdict).toBe('too-many-stages');
    const share = stopped.outcome.maxStagesShare!;
    expect(share).toBeLessThan(0.5);
    const motionOf = (tooth: number) =>
      crownMotion(
        analysis.frame,
        analysis.teeth.find((t) => t.tooth === tooth)!.centre,
        stopped.outcome.teeth.find((t) => t.tooth === tooth)!,
        share,
      );
    for (const contact of stopped.measured) {
      const source = analysis.contacts.find((c) => c.toothA === contact.toothA)!;
      const moved = (tooth: number, place: Vec3): [Vec3, Vec3, Vec3][] => {
        const motion = motionOf(tooth);
        const triangles: [Vec3, Vec3, Vec3][] = [];
        const gum: Vec3[] = [];
        for (let t = 0; t < data.labels.length; t += 1) {
          if (data.labels[t] !== 0) continue;
          const corners = [0, 1, 2].map((k) => vertexAt(scan.positions, scan.triangles[3 * t + k]!));
          if (distance(corners[0]!, place) < 1.8) gum.push(...corners);
        }
        for (let t = 0; t < data.labels.length; t += 1) {
          if (data.labels[t] !== tooth) continue;
          const corners = [0, 1, 2].map((k) => vertexAt(scan.positions, scan.triangles[3 * t + k]!));
          if (distance(corners[0]!, place) > 0.8) continue;
          if (corners.some((p) => gum.some((g) => distance(g, p) < 0.4))) continue;
          triangles.push(corners.map((p) => movePoint(motion, p)) as [Vec3, Vec3, Vec3]);
        }
        return triangles;
      };
      const a = moved(contact.toothA, source.pointA!);
      const b = moved(contact.toothB, source.pointB!);
      expect(Math.min(a.length, b.length)).toBeGreaterThan(30);
      let least = Number.POSITIVE_INFINITY;
      for (const p of a) for (const q of b) least = Math.min(least, bruteTriangleDistance(p, q));
      expect(least).toBeGreaterThan(0.05);
      const { toothA, toothB } = contact;
      const found = measure(toothA, toothB, motionOf(toothA), motionOf(toothB))!;
      expect(Math.abs(least - found)).toBeLessThan(0.002);
    }
  });
});
