import { beforeAll, describe, expect, it } from 'vitest';
import { nearestOnMesh } from '../../src/geometry/nearest-on-mesh.ts';
import type { Vec3 } from '../../src/geometry/types.ts';
import { landClicks } from '../../src/teeth/land-clicks.ts';
import { prepareTeeth, type TeethBase } from '../../src/teeth/prepare-teeth.ts';
import type { Click, ClickSet, Jaw } from '../../src/teeth/types.ts';
import { sphereMesh } from '../helpers/closed-meshes.ts';
import { seededRandom } from '../helpers/random.ts';
import { scanOf } from './shared-scans.ts';

const RADIUS = 20;
const at = (degrees: number): Vec3 => {
  const angle = (degrees * Math.PI) / 180;
  return [RADIUS * Math.cos(angle), RADIUS * Math.sin(angle), 0];
};
const setOf = (jaw: Jaw, clicks: Click[], missing: number[] = []): ClickSet => ({
  jaw,
  clicks,
  missing,
  fixed: [],
});

describe('landClicks', () => {
  // 40,960 faces: enough to be grouped into super-faces.
  let base: TeethBase;
  beforeAll(async () => {
    base = await prepareTeeth(scanOf(sphereMesh(RADIUS, 6)));
  });
  const land = (set: ClickSet) => () => landClicks(base, set);
  const failure = (code: string) => expect.objectContaining({ code, kind: 'input' });

  it('orders the teeth and tells corrections from first clicks', () => {
    const set = setOf('upper', [
      { tooth: 21, point: at(0) },
      { tooth: 11, point: at(30) },
      { tooth: 'gum', point: at(60) },
      { tooth: 21, point: at(5) },
    ]);
    const landed = landClicks(base, set);
    expect(landed.teeth.map((tooth) => tooth.tooth)).toEqual([11, 21]);
    expect(landed.clicks.map((click) => [click.label, click.correction])).toEqual([
      [2, false],
      [1, false],
      [0, true],
      [2, true],
    ]);
  });

  it('finds the same places with super-faces skipped as over all faces', () => {
    expect(base.nodeOfFace).not.toBeNull();
    const random = seededRandom(2);
    const clicks = [11, 13, 15, 17, 22, 24, 26].map((tooth, k): Click => {
      const [x, y] = at(50 * k);
      return { tooth, point: [x + random() - 0.5, y + random() - 0.5, 3 * (random() - 0.5)] };
    });
    const places = nearestOnMesh(
      base.scan,
      clicks.map((click) => click.point),
      2,
    );
    const landed = landClicks(base, setOf('upper', clicks));
    expect(landed.clicks.map((click) => click.face)).toEqual(places.map((place) => place!.triangle));
    expect(landed.clicks.map((click) => click.point)).toEqual(places.map((place) => place!.point));
  });

  it('refuses a set without a tooth', () => {
    expect(land(setOf('upper', []))).toThrow(failure('NO_CLICKS'));
    expect(land(setOf('upper', [{ tooth: 'gum', point: at(0) }]))).toThrow(failure('NO_CLICKS'));
  });

  it('refuses a click off the surface', () => {
    expect(land(setOf('upper', [{ tooth: 11, point: [0, 0, 0] }]))).toThrow(failure('CLICK_OFF_SURFACE'));
  });

  it('refuses two teeth on one place and names both', () => {
    const set = setOf('lower', [
      { tooth: 41, point: at(0) },
      { tooth: 42, point: at(4) },
    ]);
    expect(land(set)).toThrow(failure('TWO_TEETH_ONE_PLACE'));
    expect(land(set)).toThrow(/42 and 41/);
  });

  it('refuses one tooth on two crowns', () => {
    const set = setOf('lower', [
      { tooth: 41, point: at(0) },
      { tooth: 41, point: at(60) },
    ]);
    expect(land(set)).toThrow(failure('TOOTH_CLICKED_TWICE'));
  });

  it('refuses a tooth of the other jaw and a missing tooth with a click', () => {
    expect(land(setOf('lower', [{ tooth: 11, point: at(0) }]))).toThrow(failure('TOOTH_WRONG_JAW'));
    expect(land(setOf('lower', [{ tooth: 31, point: at(0) }], [31]))).toThrow(
      failure('MISSING_TOOTH_CLICKED'),
    );
  });
});
