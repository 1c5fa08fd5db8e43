import { layOutArch } from '../../fixtures/arch-layout.ts';
import { type ArchSpec, archSpec, LOWER_TEETH, UPPER_TEETH } from '../../fixtures/arch-spec.ts';
import { seededRandom } from '../helpers/random.ts';

/** Contacts of each mouth that are made with a space; the rest touch. */
const SPACES_PER_MOUTH = 4;
const MOST_ATTEMPTS = 20;
/** The same of the wide range; its mouths are others than those of {@link madeSpec}. */
const WIDE_SPACES = 5;
const WIDE_SEEDS = 5000;

/**
 * An invented mouth of the project's generator, another for every seed: jaw, arch, four spaces of 0.1 to 0.8 mm,
 * noise of 5 to 20 um, edges of 0.2 to 0.3 mm, a scanner whose ball of 0.05 to 0.2 mm bridges spaces up to twice
 * its radius.
 */
export function madeSpec(seed: number): ArchSpec {
  return firstThatStands(seed, drawSpec);
}

/**
 * An invented mouth over the whole range that scanners of this kind show: the same as {@link madeSpec}, with five
 * spaces of 0.06 to 0.7 mm, most of them narrow, edges of 0.1 to 0.3 mm and a scanner that bridges up to 0.1 mm at
 * best and 0.4 mm at worst.
 */
export function wideSpec(seed: number): ArchSpec {
  return firstThatStands(seed, drawWide);
}

function firstThatStands(seed: number, draw: (seed: number, attempt: number) => ArchSpec): ArchSpec {
  for (let attempt = 0; attempt < MOST_ATTEMPTS; attempt += 1) {
    const spec = draw(seed, attempt);
    if (canBeLaidOut(spec)) return spec;
  }
  throw new Error(`no mouth with the drawn spaces could be laid out for seed ${seed}`);
}

/** Some drawn mouths turn two crowns so that their closest places jump and a space cannot be set: drawn again. */
function canBeLaidOut(spec: ArchSpec): boolean {
  try {
    layOutArch(spec);
    return true;
  } catch {
    return false;
  }
}

/** One draw, whether or not it can be laid out. */
export function drawSpec(seed: number, attempt: number): ArchSpec {
  const random = seededRandom(1000 * (attempt + 1) + seed);
  const between = (low: number, high: number): number => low + (high - low) * random();
  const jaw = seed % 2 === 1 ? 'upper' : 'lower';
  const teeth = jaw === 'upper' ? UPPER_TEETH : LOWER_TEETH;
  const gaps: Record<string, number> = {};
  while (Object.keys(gaps).length < SPACES_PER_MOUTH) {
    const k = Math.floor(between(0, teeth.length - 1));
    gaps[`${teeth[k]}-${teeth[k + 1]}`] ??= between(0.1, 0.8);
  }
  const radiusMm = between(0.05, 0.15);
  return archSpec(jaw, {
    name: `seed-${seed}`,
    seed: 100 * (attempt + 1) + seed,
    gaps,
    widthMm: between(0.93, 1.07) * (jaw === 'upper' ? 60 : 54),
    depthMm: between(0.93, 1.07) * (jaw === 'upper' ? 45 : 41),
    irregularity: between(0.4, 1),
    palate: jaw === 'upper' && random() < 0.5,
    scanner: { radiusMm, growthPerMm: between(0.01, 0.03), largestRadiusMm: radiusMm + 0.05 },
    toothEdgeMm: between(0.2, 0.3),
    gumEdgeMm: between(0.45, 0.7),
    gridMm: 0.18,
    noiseMm: between(0.005, 0.02),
    waveMm: between(0.003, 0.008),
    holes: Math.floor(between(0, 4)),
    crumbs: Math.floor(between(0, 6)),
  });
}

/** One draw of the wide range, whether or not it can be laid out. */
function drawWide(seed: number, attempt: number): ArchSpec {
  const random = seededRandom(500_000 + 1000 * (attempt + 1) + seed);
  const between = (low: number, high: number): number => low + (high - low) * random();
  const base = drawSpec(seed + WIDE_SEEDS, attempt);
  const gaps: Record<string, number> = {};
  while (Object.keys(gaps).length < WIDE_SPACES) {
    const k = Math.floor(between(0, base.teeth.length - 1));
    // Squared: crowds the narrow end, where decisions are made.
    gaps[`${base.teeth[k]}-${base.teeth[k + 1]}`] ??= 0.06 + 0.64 * random() ** 2;
  }
  const largestRadiusMm = between(0.05, 0.2);
  return {
    ...base,
    name: `wide-${seed}`,
    gaps,
    scanner: {
      radiusMm: between(0.4, 0.8) * largestRadiusMm,
      growthPerMm: between(0.01, 0.04),
      largestRadiusMm,
    },
    toothEdgeMm: between(0.1, 0.3),
    gridMm: 0.15,
  };
}
