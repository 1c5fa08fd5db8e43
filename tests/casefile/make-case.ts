import type { CaseArch, CaseContent } from '../../src/casefile/types.ts';
import { tetrahedronPly } from '../helpers/scan-files.ts';

/** An arch of which every field is set, with numbers that only survive when nothing rounds them. */
export function makeCaseArch(part: Partial<CaseArch> = {}): CaseArch {
  return {
    fileName: 'Ünten – größer.ply',
    bytes: tetrahedronPly(),
    unit: 'cm',
    originMm: [1e6 / 3, -0.1 - 0.2, 5e-324],
    inputs: {
      jaw: 'lower',
      clicks: [
        { tooth: 36, point: [Math.PI, -1 / 3, 1e-17] },
        { tooth: 35, point: [0.1 + 0.2, 2 ** -40, -7.000000000000001] },
        { tooth: 'gum', point: [1, 2, 3] },
      ],
      missing: [34],
      fixed: [36],
      floss: [{ toothA: 36, toothB: 35, finding: 'open', spaceMm: 0.05 }],
      limitMm: 0.12,
      closure: {
        maxStages: 2,
        perStageMm: 0.2,
        perStageRad: Math.PI / 90,
        expression: 0.7,
        rotationArmMm: 4,
        moved: 'anterior',
        reduction: null,
        spanRule: 'widens-nothing',
      },
      note: { text: 'Please close <b>3</b> spaces;\n"=1+1"', basis: 'as written' },
    },
    ...part,
  };
}

/** The bare other arch: a scan that nobody has clicked on yet. */
export function makeOtherArch(): CaseArch {
  const { inputs } = makeCaseArch();
  return {
    fileName: '../../etc/upper.stl',
    bytes: new Uint8Array([0, 255, 10, 13, 26, 0]),
    unit: null,
    originMm: null,
    inputs: { ...inputs, jaw: 'upper', clicks: [], missing: [], fixed: [], floss: [], note: null },
  };
}

/** With a scan before it, of which everything is kept as of the newest one. */
export const makeCaseContent = (): CaseContent => {
  const { earlier: _, ...newest } = makeCaseArch();
  const before = {
    ...newest,
    bytes: new Uint8Array([7, 8, 9]),
    inputs: { ...newest.inputs, scannedOn: '2026-01-05' },
  };
  return { demo: false, arches: [{ ...newest, earlier: [before] }, makeOtherArch()] };
};
