import type { ScanWarning } from '../scan/scan-warnings.ts';

/** A warning as the JSON files hold it: `teeth`, as all teeth there, where its sentence names some. */
export function warningJson({ code, sentence, teeth = [] }: ScanWarning) {
  return teeth.length > 0 ? { code, sentence, teeth: teeth.map(String) } : { code, sentence };
}
