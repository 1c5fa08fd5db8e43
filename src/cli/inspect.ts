import { usageError } from '../geometry/archgap-error.ts';
import { writeInspectJson } from '../report/inspect-json.ts';
import { readScan } from '../scan/read-scan.ts';
import type { LengthUnit, Scan, ScanFormat } from '../scan/types.ts';
import type { CliIo } from './cli-io.ts';
import { makeOutputSet } from './output-set.ts';
import { readBytes } from './read-input.ts';
import { makeTerminalJob } from './terminal-progress.ts';

export interface InspectOptions {
  /** Where the JSON goes; `-` is standard output, which then carries nothing else. */
  readonly json?: string;
  readonly unit?: LengthUnit;
}

const FORMAT_WORDS: Readonly<Record<ScanFormat, string>> = {
  'stl-ascii': 'STL, ASCII',
  'stl-binary': 'STL, binary',
  'ply-ascii': 'PLY, ASCII',
  'ply-binary-le': 'PLY, binary little-endian',
  'ply-binary-be': 'PLY, binary big-endian',
};

/** `archgap inspect`: what a scan file is. */
export async function inspect(scanPath: string, options: InspectOptions, io: CliIo): Promise<void> {
  if (options.json === '')
    throw usageError('JSON_EMPTY', 'The name after --json is empty; name a file, or - for standard output.');
  const job = makeTerminalJob(io);
  const outputs = makeOutputSet(io, [scanPath]);
  try {
    const bytes = await readBytes(io, scanPath);
    const scan = await readScan(bytes, {
      fileName: io.files.baseName(scanPath),
      unit: options.unit ?? null,
      control: job,
    });
    job.clear();
    const json = writeInspectJson(scan, { version: io.version });
    if (options.json === '-') {
      await io.out.write(json);
      return;
    }
    if (options.json !== undefined) {
      await outputs.stage(options.json, new TextEncoder().encode(json));
      outputs.commit();
    }
    await io.out.write(inspectText(scan));
  } finally {
    job.clear();
    outputs.discard();
  }
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
