import {
  type CalibratedTerm,
  type Calibration,
  type CalibrationSpace,
  calibrateScanner,
  standardWithoutScanner,
} from '../contacts/calibrate-scanner.ts';
import { MOST_ERROR_MM, MOST_SPACE_MM, writeScannerProfile } from '../contacts/scanner-profile.ts';
import type { Analysis, Contact } from '../contacts/types.ts';
import { inputError, usageError } from '../geometry/archgap-error.ts';
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
  if (options.out === '')
    throw usageError('OUT_EMPTY', 'The name after --out is empty; name a file, or - for standard output.');
  const known = await readDocument(io, knownPath, readKnownSpaces);
  const results = await readResults(resultPaths, io);
  const { spaces, silent } = matchSpaces(known, results);
  const calibration = calibrateScanner(spaces, options.name);
  const told = summary(calibration, silent);
  const text = writeScannerProfile(calibration.profile, told.replaceAll('\n', ' ').slice(0, 2000));
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
  await io.out.write(`${told}\nWrote ${options.out}\n`);
}

/** @throws ArchgapError as {@link readResultJson}, and `CALIBRATION_SCAN_TWICE`: one scan counts once */
async function readResults(paths: readonly string[], io: CliIo): Promise<Analysis[]> {
  const results: Analysis[] = [];
  const seen = new Map<string, string>();
  for (const path of paths) {
    const result = await readDocument(io, path, readResultJson);
    const scan = result.sources.map(({ sha256 }) => sha256).join(' ');
    const before = seen.get(scan);
    if (before !== undefined) {
      throw inputError(
        'CALIBRATION_SCAN_TWICE',
        `"${before}" and "${path}" are of one and the same scan file; give one result of every scan of the block.`,
      );
    }
    seen.set(scan, path);
    results.push(result);
  }
  return results;
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
    const length = (name: string, mostMm: number) =>
      lengthIn(cell(name), delimiter === ';', mostMm, line, name);
    return {
      line,
      scan: cell('scan'),
      toothA: parseTooth(cell('tooth_a'), 'iso'),
      toothB: parseTooth(cell('tooth_b'), 'iso'),
      gapMm: length('gap_mm', MOST_SPACE_MM),
      standardMm: cell('u_mm') === '' ? 0 : length('u_mm', MOST_ERROR_MM),
    };
  });
}

function lengthIn(cell: string, decimalComma: boolean, mostMm: number, line: number, column: string): number {
  const text = decimalComma ? cell.replace(',', '.') : cell;
  const value = /^\+?(\d+\.?\d*|\.\d+)(e[+-]?\d+)?$/i.test(text) ? Number(text) : Number.NaN;
  if (value <= mostMm) return value;
  throw inputError(
    'KNOWN_SPACES_INVALID',
    `Line ${line} of the table of known spaces has "${cell}" as ${column}; expected millimetres from 0 to ${mostMm}, such as ${mostMm === MOST_SPACE_MM ? '0.30' : '0.002'}.`,
  );
}

interface MatchedSpaces {
  readonly spaces: readonly CalibrationSpace[];
  /** Known spaces of which a scan shows neither a number nor a web, in words: they count for nothing. */
  readonly silent: readonly string[];
}

/**
 * Every known space in every result that it belongs to.
 * @throws ArchgapError `KNOWN_SPACE_NOT_FOUND`, `KNOWN_SPACE_TWICE`
 */
function matchSpaces(known: readonly KnownSpace[], results: readonly Analysis[]): MatchedSpaces {
  const spaces: CalibrationSpace[] = [];
  const silent: string[] = [];
  const lines = new Map<Contact, number>();
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
      const label = `${scan} ${contact.toothA}-${contact.toothB}`;
      const before = lines.get(contact);
      if (before !== undefined) throw knownTwice(label, before, space.line);
      lines.set(contact, space.line);
      if (contact.gap === null && contact.bridge === 'none') silent.push(`${label} (${contact.status})`);
      else spaces.push(calibrationSpace(label, contact, space));
    }
    if (found > 0) continue;
    throw inputError(
      'KNOWN_SPACE_NOT_FOUND',
      `Line ${space.line} of the table of known spaces names ${space.scan === '' ? '' : `${space.scan}, `}contact ${space.toothA}-${space.toothB}; no result holds it.`,
    );
  }
  return { spaces, silent };
}

function calibrationSpace(label: string, contact: Contact, known: KnownSpace): CalibrationSpace {
  return {
    label,
    space: `${contact.toothA}-${contact.toothB} ${known.gapMm} ${known.standardMm}`,
    expectedMm: known.gapMm,
    expectedStandardMm: known.standardMm,
    measuredMm: contact.gap?.valueMm ?? null,
    measurementStandardMm: standardWithoutScanner(contact),
    isBridged: contact.bridge !== 'none',
  };
}

/** One measured space counted twice would make every interval too narrow, and of two values one is wrong. */
function knownTwice(label: string, first: number, second: number): Error {
  return inputError(
    'KNOWN_SPACE_TWICE',
    `Lines ${first} and ${second} of the table of known spaces both give ${label}; leave one of them out, or where they are of two scans of one name, give the scan files names of their own.`,
  );
}

function micrometres(term: CalibratedTerm): string {
  const um = (mm: number) => (1000 * mm).toFixed(0);
  return `${um(term.valueMm)} µm (${um(term.lowMm)} to ${term.highMm === null ? '?' : um(term.highMm)})`;
}

function summary(calibration: Calibration, silent: readonly string[]): string {
  const { profile, offset, waviness, noBridge, measured, bridged, remarks } = calibration;
  return [
    `${profile.name}: ${measured} known spaces measured, ${bridged} bridged.`,
    `Offset ${micrometres(offset)}. ${offset.sentence}`,
    `Waviness ${micrometres(waviness)}. ${waviness.sentence}`,
    ...(noBridge ? [noBridge.sentence] : []),
    ...remarks,
    // Last: of many scans it is long, and the note in the file ends where it is full.
    ...(silent.length === 0
      ? []
      : [`Neither measured nor bridged, and counted for nothing: ${silent.join(', ')}.`]),
  ].join('\n');
}
