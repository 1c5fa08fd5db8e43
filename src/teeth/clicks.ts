import * as v from 'valibot';
import { inputError } from '../geometry/archgap-error.ts';
import { nearestOnMesh } from '../geometry/nearest-on-mesh.ts';
import { schemaFault } from '../geometry/schema-fault.ts';
import type { Vec3 } from '../geometry/types.ts';
import type { LengthUnit, Scan } from '../scan/types.ts';
import { MM_PER_UNIT } from '../scan/units.ts';
import { archOrder, jawOf, parseTooth } from './notation.ts';
import type { Click, ClickSet, Jaw, ToothNumber } from './types.ts';

/** A click farther from the surface than this was not meant for this scan (contract.md). */
export const CLICK_REACH_MM = 2;

/** More clicks than any arch needs, corrections included: a larger file is not a click file. */
const MOST_CLICKS = 5000;

/** A click file as written: points in the file's own coordinates and unit. */
export interface ClickFile {
  readonly jaw: Jaw;
  readonly unit: LengthUnit;
  readonly clicks: readonly Click[];
  readonly missing: readonly ToothNumber[];
  readonly fixed: readonly ToothNumber[];
}

const coordinate = v.pipe(v.number(), v.finite());
const clickFileSchema = v.object({
  jaw: v.picklist(['upper', 'lower']),
  unit: v.optional(v.picklist(['mm', 'cm', 'm', 'in']), 'mm'),
  clicks: v.pipe(
    v.array(v.object({ tooth: v.string(), point: v.tuple([coordinate, coordinate, coordinate]) })),
    v.maxLength(MOST_CLICKS),
  ),
  missing: v.optional(v.array(v.string()), []),
  fixed: v.optional(v.array(v.string()), []),
});

/**
 * Reads the text of a click file (contract.md, CLICKS.json). Tooth numbers are ISO 3950.
 *
 * @throws ArchgapError `CLICKS_NOT_JSON`, `CLICKS_INVALID`, `TOOTH_UNKNOWN`, `TOOTH_WRONG_JAW`,
 *   `MISSING_TOOTH_CLICKED`, `FIXED_NOT_CLICKED`
 */
export function parseClickFile(text: string): ClickFile {
  let raw: unknown;
  try {
    raw = JSON.parse(text.replace(/^\uFEFF/, ''));
  } catch (cause) {
    throw inputError(
      'CLICKS_NOT_JSON',
      'The click file is not JSON; expected an object with jaw, unit and clicks as docs/formats.md describes.',
      { cause },
    );
  }
  const result = v.safeParse(clickFileSchema, raw);
  if (!result.success) {
    const issue = result.issues[0];
    const place = v.getDotPath(issue) ?? 'the top level';
    throw inputError(
      'CLICKS_INVALID',
      `The click file is wrong at ${place}: ${schemaFault(issue, clickFileSchema)}. Correct it, or give the file that holds the clicks; docs/formats.md describes it.`,
      {
        details: { place },
      },
    );
  }
  const file = result.output;
  const clicks = file.clicks.map((click): Click => {
    const tooth = click.tooth.trim().toLowerCase() === 'gum' ? 'gum' : parseTooth(click.tooth, 'iso');
    return { tooth, point: click.point };
  });
  const parsed: ClickFile = {
    jaw: file.jaw,
    unit: file.unit,
    clicks,
    missing: [...new Set(file.missing.map((tooth) => parseTooth(tooth, 'iso')))],
    fixed: [...new Set(file.fixed.map((tooth) => parseTooth(tooth, 'iso')))],
  };
  checkClickSet(parsed);
  return parsed;
}

/**
 * What must hold for any click set before it meets a scan.
 *
 * @throws ArchgapError `TOOTH_WRONG_JAW`, `MISSING_TOOTH_CLICKED`, `FIXED_NOT_CLICKED`
 */
export function checkClickSet(set: Pick<ClickSet, 'jaw' | 'clicks' | 'missing' | 'fixed'>): void {
  const clicked = set.clicks.flatMap((click) => (click.tooth === 'gum' ? [] : [click.tooth]));
  for (const tooth of [...clicked, ...set.missing, ...set.fixed]) {
    if (jawOf(tooth) === set.jaw) continue;
    throw inputError(
      'TOOTH_WRONG_JAW',
      `Tooth ${tooth} belongs to the ${jawOf(tooth)} jaw, but the clicks are for the ${set.jaw} jaw; change the number or the jaw.`,
      { details: { tooth, jaw: set.jaw } },
    );
  }
  const both = set.missing.find((tooth) => clicked.includes(tooth));
  if (both !== undefined) {
    throw inputError(
      'MISSING_TOOTH_CLICKED',
      `Tooth ${both} is marked missing but has a click; remove one of the two.`,
      { details: { tooth: both } },
    );
  }
  const unclicked = set.fixed.find((tooth) => !clicked.includes(tooth));
  if (unclicked !== undefined) {
    throw inputError(
      'FIXED_NOT_CLICKED',
      `Tooth ${unclicked} is marked fixed but has no click, so nothing would hold it; click it, or correct the number.`,
      { details: { tooth: unclicked } },
    );
  }
}

/** Clicks of a file in the scan's own frame, millimetres (see `Scan.originMm`). */
export function clicksToScanFrame(file: ClickFile, scan: Pick<Scan, 'originMm'>): ClickSet {
  const factor = MM_PER_UNIT[file.unit];
  const [ox, oy, oz] = scan.originMm;
  const clicks = file.clicks.map(({ tooth, point }): Click => {
    const [x, y, z] = point;
    return { tooth, point: [x * factor - ox, y * factor - oy, z * factor - oz] };
  });
  return { jaw: file.jaw, clicks, missing: file.missing, fixed: file.fixed };
}

/**
 * Puts every click on the nearest point of the surface.
 *
 * @throws ArchgapError `CLICK_OFF_SURFACE` when the surface is farther than {@link CLICK_REACH_MM}
 */
export function snapClicks(scan: Pick<Scan, 'positions' | 'triangles'>, set: ClickSet): ClickSet {
  const landed = nearestOnMesh(
    scan,
    set.clicks.map((click) => click.point),
    CLICK_REACH_MM,
  );
  const clicks = set.clicks.map((click, k): Click => {
    const place = landed[k];
    if (!place) throw clickOffSurface(click);
    return { tooth: click.tooth, point: place.point };
  });
  return { ...set, clicks };
}

/** The error for a click that no surface is near. */
export function clickOffSurface(click: Click): Error {
  const name = click.tooth === 'gum' ? 'The gum click' : `The click of tooth ${click.tooth}`;
  const at = click.point.map((value) => value.toFixed(2)).join(', ');
  return inputError(
    'CLICK_OFF_SURFACE',
    `${name} at (${at}) lies more than ${CLICK_REACH_MM} mm from the scan’s surface; check that the clicks belong to this scan and to its unit.`,
    { details: { tooth: click.tooth } },
  );
}

/** Writes a click set as a click file: the file's own coordinates in its own unit, teeth in arch order. */
export function writeClickFile(set: ClickSet, scan: Pick<Scan, 'originMm' | 'source'>): string {
  const unit = scan.source.unit.unit;
  const factor = MM_PER_UNIT[unit];
  const order = archOrder(set.jaw);
  const rank = (click: Click): number => (click.tooth === 'gum' ? order.length : order.indexOf(click.tooth));
  const inFile = (point: Vec3): number[] =>
    point.map((value, k) => Number(((value + (scan.originMm[k] ?? 0)) / factor).toPrecision(9)));
  const clicks = set.clicks
    .toSorted((a, b) => rank(a) - rank(b))
    .map(({ tooth, point }) => ({ tooth: String(tooth), point: inFile(point) }));
  const lines = clicks.map((click) => `    ${JSON.stringify(click)}`).join(',\n');
  const missing = JSON.stringify(set.missing.map(String));
  const fixed = JSON.stringify(set.fixed.map(String));
  const list = lines === '' ? '[]' : `[\n${lines}\n  ]`;
  return `{\n  "jaw": "${set.jaw}",\n  "unit": "${unit}",\n  "clicks": ${list},\n  "missing": ${missing},\n  "fixed": ${fixed}\n}\n`;
}
