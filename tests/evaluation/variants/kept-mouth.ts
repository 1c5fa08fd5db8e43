import { createHash } from 'node:crypto';
import { existsSync, mkdirSync, renameSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { ArchSpec } from '../../../fixtures/arch-spec.ts';
import { makeArch } from '../../../fixtures/make-arch.ts';
import { writePly } from '../../../fixtures/write-ply.ts';
import { type LabelledCase, readLabelledCase } from '../labelled-case.ts';

/**
 * An invented mouth as a folder with scan, labels and clicks, made once and kept, as making it takes half a minute. The
 * folder's name carries a digest of the spec; after a change of the generator itself it has to be removed by hand.
 */
export async function keptMouth(spec: ArchSpec, keepIn: string): Promise<LabelledCase> {
  const digest = createHash('sha256').update(JSON.stringify(spec)).digest('hex').slice(0, 10);
  const folder = join(keepIn, `${spec.name}-${digest}`);
  if (!existsSync(folder)) {
    const arch = makeArch(spec);
    const draft = `${folder}.part`;
    mkdirSync(draft, { recursive: true });
    writeFileSync(join(draft, 'scan.ply'), writePly(arch, { colors: arch.colors }));
    writeFileSync(join(draft, 'labels-per-triangle.u8'), arch.labelsPerTriangle);
    writeFileSync(join(draft, 'clicks.json'), JSON.stringify(arch.clicks));
    renameSync(draft, folder);
  }
  return { ...(await readLabelledCase(folder)), name: spec.name };
}
