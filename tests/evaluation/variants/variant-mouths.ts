import { type ArchSpec, archSpec, LOWER_TEETH, UPPER_TEETH } from '../../../fixtures/arch-spec.ts';

const without = (teeth: readonly number[], missing: readonly number[]): number[] =>
  teeth.filter((tooth) => !missing.includes(tooth));

const FINE = { toothEdgeMm: 0.3, gumEdgeMm: 0.55, gridMm: 0.22, noiseMm: 0.015, waveMm: 0.006 } as const;

/**
 * Invented mouths with what is hard to tell apart: third molars half out of the gum, several missing teeth, crowding,
 * open spaces between molars (0.4 to 0.8 mm), a palate behind the last tooth.
 */
export const VARIANT_MOUTHS: readonly ArchSpec[] = [
  archSpec('upper', {
    ...FINE,
    name: 'thirds-upper',
    teeth: [18, ...UPPER_TEETH, 28],
    gaps: { '17-16': 0.6, '13-12': 0.3 },
    depthMm: 50,
    palate: true,
    seed: 41,
  }),
  archSpec('lower', {
    ...FINE,
    name: 'thirds-lower',
    teeth: [48, ...LOWER_TEETH, 38],
    gaps: { '47-46': 0.5, '31-32': 0.4 },
    depthMm: 47,
    seed: 42,
  }),
  archSpec('upper', {
    ...FINE,
    name: 'missing-upper',
    teeth: without(UPPER_TEETH, [15, 24, 25]),
    missing: [15, 24, 25],
    gaps: { '11-21': 0.4, '26-27': 0.7 },
    palate: true,
    seed: 43,
  }),
  archSpec('lower', {
    ...FINE,
    name: 'missing-lower',
    teeth: without(LOWER_TEETH, [45, 44, 35]),
    missing: [45, 44, 35],
    gaps: { '33-34': 0.5 },
    seed: 44,
  }),
  archSpec('upper', {
    ...FINE,
    name: 'crowded-upper',
    gaps: { '17-16': 0.4, '26-27': 0.8 },
    irregularity: 2.2,
    widthMm: 56,
    palate: true,
    holes: 3,
    crumbs: 6,
    seed: 45,
  }),
  archSpec('lower', {
    ...FINE,
    name: 'crowded-lower',
    gaps: { '47-46': 0.8, '36-37': 0.45 },
    irregularity: 2,
    widthMm: 51,
    holes: 2,
    seed: 46,
  }),
];
