import {
  type CalibratedTerm,
  type Calibration,
  type CalibrationSpace,
  calibrateScanner,
  standardWithoutScanner,
} from '../contacts/calibrate-scanner.ts';
import { writeScannerProfile } from '../contacts/scanner-profile.ts';
import type { Analysis } from '../contacts/types.ts';
import { inputError } from '../geometry/archgap-error.ts';
import { readResultJson } from '../report/read-result-json.ts';
import { readTable } from '../study/read-table.ts';
import { parseTooth } from '../teeth/notation.ts';
import type { ToothNumber } from '../teeth/types.ts';
import type { CliIo } from './cli-io.ts';
import { makeOutputSet } from './output-set.ts';
import { readDocument } from './read-input.ts';

export interface CalibrateOptions {
  readonly name: string;
  readonly out: string;
}

/** A row of the table of known spaces. */
interface KnownSpace {
  readonly line: number;
  /** File name of the scan, or empty for every scan. */
  readonly scan: string;
  readonly toothA: ToothNumber;
  readonly toothB: ToothNumber;
  readonly gapMm: number;
  readonly standardMm: number;
}

/** `archgap calibrate`: scans of a block with known spaces to the terms of a scanner. */
export async function calibrate(
  knownPath: string,
  resultPaths: readonly string[],
  options: CalibrateOptions,
  io: CliIo,
): Promise<void> {
  const known = await readDocument(io, knownPath, readKnownSpaces);
  const results: Analysis[] = [];
  for (const path of resultPaths) results.push(await readDocument(io, path, readResultJson));
  const calibration = calibrateScanner(matchSpaces(known, results), options.name);
  const text = writeScannerProfile(calibration.profile, noteOf(calibration));
  if (options.out === '-') {
    await io.out.write(text);
    return;
  }
  const outputs = makeOutputSet(io, [knownPath, ...resultPaths]);
  try {
    await outputs.stage(options.out, new TextEncoder().encode(text));
    outputs.commit();
  } finally {
    outputs.discard();
  }
  await io.out.write(`${summary(calibration)}\nWrote ${options.out}\n`);
}

/**
 * The table of known spaces: columns tooth_a, tooth_b, gap_mm, and optionally scan and u_mm.
 * @throws ArchgapError `KNOWN_SPACES_INVALID`, `TOOTH_UNKNOWN`, and what {@link readTable} throws
 */
function readKnownSpaces(text: string): KnownSpace[] {
  const { columns, rows, delimiter } = readTable(text, 'table of known spaces');
  const lacking = ['tooth_a', 'tooth_b', 'gap_mm'].filter((name) => !columns.includes(name));
  if (lacking.length > 0) {
    throw inputError(
      'KNOWN_SPACES_INVALID',
      `The table of known spaces has no column ${lacking.join(', ')}; expected tooth_a, tooth_b, gap_mm, and if wanted scan and u_mm.`,
    );
  }
  return rows.map(({ number, cells, width }) => {
    const line = number + 1;
    if (width > columns.length) {
      throw inputError(
        'KNOWN_SPACES_INVALID',
        `Line ${line} of the table of known spaces has ${width} cells for ${columns.length} columns; put cells that hold a comma in quotes.`,
      );
    }
    const cell = (name: string) => cells[columns.indexOf(name)] ?? '';
    const length = (name: string) => lengthIn(cell(name), delimiter === ';', line, name);
    return {
      line,
      scan: cell('scan'),
      toothA: parseTooth(cell('tooth_a'), 'iso'),
      toothB: parseTooth(cell('tooth_b'), 'iso'),
      gapMm: length('gap_mm'),
      standardMm: cell('u_mm') === '' ? 0 : length('u_mm'),
    };
  });
}

function lengthIn(cell: string, decimalComma: boolean, line: number, column: string): number {
  const text = decimalComma ? cell.replace(',', '.') : cell;
  const value = /^\+?(\d+\.?\d*|\.\d+)(e[+-]?\d+)?$/i.test(text) ? Number(text) : Number.NaN;
  if (Number.isFinite(value)) return value;
  throw inputError(
    'KNOWN_SPACES_INVALID',
    `Line ${line} of the table of known spaces has "${cell}" as ${column}; expected millimetres such as 0.30.`,
  );
}

/** Every known space in every result that it belongs to. Contacts that are neither measured nor bridged say nothing. */
function matchSpaces(known: readonly KnownSpace[], results: readonly Analysis[]): CalibrationSpace[] {
  const spaces: CalibrationSpace[] = [];
  for (const space of known) {
    let found = 0;
    for (const { sources, contacts } of results) {
      const scan = sources[0]?.fileName ?? '';
      if (space.scan !== '' && space.scan !== scan) continue;
      const contact = contacts.find(
        ({ toothA, toothB }) =>
          (toothA === space.toothA && toothB === space.toothB) ||
          (toothA === space.toothB && toothB === space.toothA),
      );
      if (contact === undefined) continue;
      found += 1;
      if (contact.gap === null && contact.bridge === 'none') continue;
      spaces.push({
        label: `${scan} ${contact.toothA}-${contact.toothB}`,
        expectedMm: space.gapMm,
        expectedStandardMm: space.standardMm,
        measuredMm: contact.gap?.valueMm ?? null,
        measurementStandardMm: standardWithoutScanner(contact),
      });
    }
    if (found > 0) continue;
    throw inputError(
      'KNOWN_SPACE_NOT_FOUND',
      `Line ${space.line} of the table of known spaces names ${space.scan === '' ? '' : `${space.scan}, `}contact ${space.toothA}-${space.toothB}; no result holds it.`,
    );
  }
  return spaces;
}

function micrometres(term: CalibratedTerm): string {
  const um = (mm: number) => (1000 * mm).toFixed(0);
  return `${um(term.valueMm)} µm (${um(term.lowMm)} to ${term.highMm === null ? '?' : um(term.highMm)})`;
}

function summary(calibration: Calibration): string {
  const { profile, offset, waviness, noBridge, measured, bridged, remarks } = calibration;
  return [
    `${profile.name}: ${measured} known spaces measured, ${bridged} bridged.`,
    `Offset ${micrometres(offset)}. ${offset.sentence}`,
    `Waviness ${micrometres(waviness)}. ${waviness.sentence}`,
    ...(noBridge ? [noBridge.sentence] : []),
    ...remarks,
  ].join('\n');
}

function noteOf(calibration: Calibration): string {
  return summary(calibration).replaceAll('\n', ' ').slice(0, 2000);
}
