import { describe, expect, it } from 'vitest';
import { checkOnSurfaces } from '../../src/closure/moved-mesh.ts';
import { planClosure } from '../../src/closure/plan-closure.ts';
import { DEFAULT_CLOSURE_SETTINGS } from '../../src/closure/settings.ts';
import { surfaceSpaces } from '../../src/closure/surface-spaces.ts';
import { measureContacts } from '../../src/contacts/measure-contacts.ts';
import { makeScanFromArrays } from '../helpers/make-scan.ts';
import { readSyntheticCase, syntheticDataPresent } from '../helpers/synthetic-case.ts';

describe.runIf(syntheticDataPresent())('the geometry check on a synthetic scan with true labels', () => {
  it('upper-three-spaces, 17-27: every open contact within 0.01 mm on the moved crowns', async () => {
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
    const plan = planClosure(analysis, DEFAULT_CLOSURE_SETTINGS);
    console.log(plan.answer, plan.proposal, plan.reasons.map((r) => r.code + ' ' + r.sentence).join('\n'));
    for (const s of plan.spans)
      console.log(
        s.from,
        s.to,
        s.stages,
        s.stagesNeeded,
        s.verdict,
        s.contacts.map((c) => c.afterMm.toFixed(3)).join(' '),
      );
    console.log(
      analysis.contacts
        .map(
          (c) =>
            `${c.toothA}-${c.toothB} ${c.status} ${c.gap?.valueMm.toFixed(3)} ${c.nearestMm?.toFixed(3)} ${c.upperBoundMm?.toFixed(3)}`,
        )
        .join('\n'),
    );
    const t = performance.now();
    const check = await checkOnSurfaces(
      analysis,
      DEFAULT_CLOSURE_SETTINGS,
      { from: 17, to: 27 },
      surfaceSpaces(scan, data.labels, analysis),
    );
    console.log(
      performance.now() - t,
      check.sentence,
      check.measured,
      check.outcome.verdict,
      check.outcome.stages,
      check.outcome.stagesNeeded,
    );
    expect(check.met).toBe(true);
  });
});
