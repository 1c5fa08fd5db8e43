import type { ArchSpec } from '../../fixtures/arch-spec.ts';
import { makeArch } from '../../fixtures/make-arch.ts';
import { writePly } from '../../fixtures/write-ply.ts';
import { readScan } from '../../src/scan/read-scan.ts';
import { clicksToScanFrame, parseClickFile, snapClicks } from '../../src/teeth/clicks.ts';
import type { LabelledCase } from './labelled-case.ts';
import { labelsOfTriangles } from './truth-labels.ts';

/** A labelled case from the project's own generator, by way of a file's bytes like any other scan. */
export async function madeCase(spec: ArchSpec): Promise<LabelledCase> {
  const arch = makeArch(spec);
  const bytes = writePly(arch, { colors: arch.colors });
  const before = performance.now();
  const scan = await readScan(bytes, { fileName: `${spec.name}.ply` });
  const loadMs = performance.now() - before;
  const clicks = clicksToScanFrame(parseClickFile(JSON.stringify(arch.clicks)), scan);
  return {
    name: `made/${spec.name}`,
    scan,
    truth: labelsOfTriangles(scan, arch.labelsPerTriangle),
    clickSets: new Map([['clicks', snapClicks(scan, clicks)]]),
    spaces: arch.truth.pairs
      .filter((pair) => !pair.missingBetween)
      .map(({ toothA, toothB, trueGapMm, state }) => ({
        toothA,
        toothB,
        gapMm: trueGapMm,
        state: state === 'partly-bridged' ? 'partly bridged' : state,
      })),
    sizes: arch.truth.teeth.map(({ tooth, mesiodistalMm, buccolingualMm, ...axes }) => ({
      tooth,
      mesiodistalMm,
      buccolingualMm,
      mesial: axes.mesialAxis,
      buccal: axes.buccalAxis,
      occlusal: axes.occlusalAxis,
    })),
    webs: null,
    loadMs,
  };
}
