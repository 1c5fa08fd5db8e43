import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { basename, dirname, join } from 'node:path';
import { inputError } from '../../src/geometry/archgap-error.ts';
import { readScan } from '../../src/scan/read-scan.ts';
import type { Scan } from '../../src/scan/types.ts';
import { clicksToScanFrame, parseClickFile, snapClicks } from '../../src/teeth/clicks.ts';
import type { ClickSet, ToothMap } from '../../src/teeth/types.ts';
import { readTrueSizes, type TrueSize } from './true-sizes.ts';
import { readTrueSpaces, type TrueSpace } from './true-spaces.ts';
import { readTrueWebs, type TrueWebs } from './true-webs.ts';
import { labelsOfTriangles, labelsOfVertices } from './truth-labels.ts';

const SCAN_FILES = ['scan.ply', 'scan.stl'];
const PER_TRIANGLE = 'labels-per-triangle.u8';
const PER_VERTEX = 'labels.u8';
const BRIDGE = 'bridge.u8';
const TRUTH = 'truth.json';

/** A scan with true labels and its clicks. */
export interface LabelledCase {
  readonly name: string;
  readonly scan: Scan;
  readonly truth: ToothMap;
  /** By name ("clicks", "clicks-alt"), on the surface. */
  readonly clickSets: ReadonlyMap<string, ClickSet>;
  /** True spaces per pair; null when nobody knows them. */
  readonly spaces: readonly TrueSpace[] | null;
  /** True sizes of the crowns; null when nobody knows them. */
  readonly sizes: readonly TrueSize[] | null;
  /** Where the scanner laid webs; null when nobody knows it. */
  readonly webs: TrueWebs | null;
  /** Reading and checking the file, ms. */
  readonly loadMs: number;
}

/** Folders with a labelled scan at or below the given ones, in alphabetical order. */
export function findLabelledCases(folders: readonly string[]): string[] {
  const found: string[] = [];
  for (const folder of folders) {
    if (!existsSync(folder)) throw inputError('FOLDER_NOT_FOUND', `There is no folder ${folder}.`);
    const entries = readdirSync(folder, { withFileTypes: true });
    const names = new Set(entries.map((entry) => entry.name));
    if (SCAN_FILES.some((name) => names.has(name)) && (names.has(PER_TRIANGLE) || names.has(PER_VERTEX)))
      found.push(folder);
    const below = entries.filter((entry) => entry.isDirectory()).map((entry) => join(folder, entry.name));
    found.push(...findLabelledCases(below.sort()));
  }
  return found;
}

/**
 * Reads one folder: scan.ply or scan.stl, labels.u8 (per vertex) or labels-per-triangle.u8, clicks*.json, and
 * truth.json and bridge.u8 where there are.
 *
 * @throws ArchgapError of the readers; `NO_CLICKS_FILE`
 */
export async function readLabelledCase(folder: string): Promise<LabelledCase> {
  const files = readdirSync(folder);
  const scanFile = SCAN_FILES.find((name) => files.includes(name))!;
  const bytes = readFileSync(join(folder, scanFile));
  const before = performance.now();
  const scan = await readScan(bytes, { fileName: scanFile });
  const loadMs = performance.now() - before;
  const perTriangle = files.includes(PER_TRIANGLE);
  const labels = readFileSync(join(folder, perTriangle ? PER_TRIANGLE : PER_VERTEX));
  const truth = perTriangle ? labelsOfTriangles(scan, labels) : labelsOfVertices(scan, labels);
  const clickFiles = files.filter((name) => /^clicks.*\.json$/.test(name)).sort();
  if (clickFiles.length === 0)
    throw inputError('NO_CLICKS_FILE', `${folder} holds no clicks.json; a labelled scan needs one.`);
  const clickSets = new Map<string, ClickSet>();
  // "clicks.json" sorts after "clicks-alt.json": the plain set comes first.
  for (const name of clickFiles.sort((a, b) => a.length - b.length)) {
    const file = parseClickFile(readFileSync(join(folder, name), 'utf8'));
    clickSets.set(basename(name, '.json'), snapClicks(scan, clicksToScanFrame(file, scan)));
  }
  const told = files.includes(TRUTH) ? readFileSync(join(folder, TRUTH), 'utf8') : null;
  const spaces = told === null ? null : readTrueSpaces(told);
  const sizes = told === null ? null : readTrueSizes(told);
  const webs =
    told === null || perTriangle || !files.includes(BRIDGE)
      ? null
      : readTrueWebs(scan, labels, readFileSync(join(folder, BRIDGE)), told);
  const name = `${basename(dirname(folder))}/${basename(folder)}`;
  return { name, scan, truth, clickSets, spaces, sizes, webs, loadMs };
}
