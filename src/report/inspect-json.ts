import type { Scan } from '../scan/types.ts';
import { healthToJson, sourceToJson } from './scan-facts-json.ts';

const INSPECT_SCHEMA = 'archgap-inspect/1';

/** What a scan file is, as JSON, schema `archgap-inspect/1`. */
export function writeInspectJson(scan: Scan, meta: { readonly version: string }): string {
  const document = {
    schema: INSPECT_SCHEMA,
    software: { name: 'archgap', version: meta.version },
    source: sourceToJson(scan.source),
    has_color: scan.colors !== null,
    origin_mm: [...scan.originMm],
    health: healthToJson(scan.health),
  };
  return `${JSON.stringify(document, null, 2)}\n`;
}
