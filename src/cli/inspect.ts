import { type CaseManifest, writeManifest } from '../casefile/case-manifest.ts';
import { looksLikeCaseFile } from '../casefile/read-case-file.ts';
import { usageError } from '../geometry/archgap-error.ts';
import { writeInspectJson } from '../report/inspect-json.ts';
import { stretchOf } from '../scan/file-bytes.ts';
import { readScan } from '../scan/read-scan.ts';
import type { LengthUnit, Scan, ScanFormat } from '../scan/types.ts';
import type { CliIo } from './cli-io.ts';
import { caseSaysIt, noCaseFile, openCase } from './open-case.ts';
import { makeOutputSet, type OutputSet } from './output-set.ts';
import { withOpenFile } from './read-input.ts';
import { makeTerminalJob } from './terminal-progress.ts';

export interface InspectOptions {
  /** Where the JSON goes; `-` is standard output, which then carries nothing else. */
  readonly json?: string;
  readonly unit?: LengthUnit;
  /** File whose first line opens an encrypted case file. */
  readonly passphraseFile?: string;
}

const FORMAT_WORDS: Readonly<Record<ScanFormat, string>> = {
  'stl-ascii': 'STL, ASCII',
  'stl-binary': 'STL, binary',
  'ply-ascii': 'PLY, ASCII',
  'ply-binary-le': 'PLY, binary little-endian',
  'ply-binary-be': 'PLY, binary big-endian',
};

/** `archgap inspect`: what a scan file is, or what a case file holds. */
export async function inspect(scanPath: string, options: InspectOptions, io: CliIo): Promise<void> {
  if (options.json === '')
    throw usageError('JSON_EMPTY', 'The name after --json is empty; name a file, or - for standard output.');
  const job = makeTerminalJob(io);
  const outputs = makeOutputSet(io, [scanPath]);
  try {
    const about = { fileName: io.files.baseName(scanPath), unit: options.unit ?? null, control: job };
    const read = await withOpenFile(io, scanPath, async (file) => {
      if (looksLikeCaseFile(file)) return stretchOf(file, 0, file.length).slice();
      if (options.passphraseFile !== undefined) throw noCaseFile();
      return readScan(file, about);
    });
    if (read instanceof Uint8Array) {
      if (options.unit !== undefined) throw caseSaysIt('--unit');
      const { manifest, encrypted } = await openCase(io, read, options.passphraseFile);
      job.clear();
      await give(options, writeManifest(manifest), caseText(manifest, encrypted), outputs, io);
      return;
    }
    job.clear();
    await give(options, writeInspectJson(read, { version: io.version }), inspectText(read), outputs, io);
  } finally {
    job.clear();
    outputs.discard();
  }
}

/** The JSON to where it was asked for, else the text for people. */
async function give(
  { json: target }: InspectOptions,
  json: string,
  text: string,
  outputs: OutputSet,
  io: CliIo,
): Promise<void> {
  if (target === '-') {
    await io.out.write(json);
    return;
  }
  if (target !== undefined) {
    await outputs.stage(target, new TextEncoder().encode(json));
    outputs.commit();
  }
  await io.out.write(text);
}

function caseText({ version, savedAt, demo, arches }: CaseManifest, encrypted: boolean): string {
  const lines = [
    `Case file${encrypted ? ', encrypted' : ''}, saved ${savedAt} by version ${version}${demo ? '; the demo, an invented patient' : ''}`,
    ...arches.flatMap(({ scan, unit, inputs, earlier = [] }) => {
      const clicked = new Set(inputs.clicks.flatMap(({ tooth }) => (tooth === 'gum' ? [] : [tooth])));
      return [
        `  ${inputs.jaw ?? 'jaw not named yet'}: ${scan.fileName}, ${scan.byteLength} bytes${unit === null ? '' : `, in ${unit}`}`,
        `    SHA-256  ${scan.sha256}`,
        `    ${clicked.size} teeth clicked, ${inputs.missing.length} missing, ${inputs.fixed.length} fixed, ${inputs.floss.length} findings of floss, limit ${inputs.limitMm.toFixed(2)} mm`,
        ...earlier.map(
          (before) =>
            `    earlier scan: ${before.scan.fileName}, ${before.inputs.scannedOn ?? 'day not said'}`,
        ),
      ];
    }),
  ];
  return `${lines.map((line) => line.replace(/\p{Cc}+/gu, ' ')).join('\n')}\n`;
}

function inspectText(scan: Scan): string {
  const { source, health } = scan;
  const size = health.sizeMm.map((value) => value.toFixed(1)).join(' x ');
  const rows: readonly (readonly [string, string])[] = [
    ['format', `${FORMAT_WORDS[source.format]}, ${source.byteLength} bytes`],
    ['SHA-256', source.sha256],
    ['unit', `${source.unit.unit}. ${source.unit.sentence}`],
    ['in the file', `${source.trianglesInFile} triangles, ${source.verticesInFile} vertices`],
    ['after checks', `${health.triangles} triangles, ${health.vertices} vertices`],
    ['removed', `${health.degenerateRemoved} without area, ${health.duplicatesRemoved} repeated`],
    ['pieces', `${health.components}, the largest with ${health.largestComponentTriangles} triangles`],
    [
      'edges',
      `median ${health.medianEdgeMm.toFixed(3)} mm; ${health.openEdges} open, ${health.nonManifoldEdges} shared by three or more, ${health.flippedEdges} turned over`,
    ],
    ['size', `${size} mm, surface ${health.areaMm2.toFixed(0)} mm2`],
    ['colour', scan.colors ? 'per vertex' : 'none'],
  ];
  const lines = [source.fileName, ...rows.map(([name, value]) => `  ${name.padEnd(13)}${value}`)];
  if (health.findings.length > 0) lines.push('findings');
  for (const finding of health.findings)
    lines.push(`  ${finding.severity.padEnd(9)}${finding.code}: ${finding.sentence}`);
  return `${lines.map((line) => line.replace(/\p{Cc}+/gu, ' ')).join('\n')}\n`;
}
