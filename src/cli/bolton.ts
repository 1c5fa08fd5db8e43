import { boltonRatios } from '../contacts/bolton.ts';
import { readResultJson } from '../report/read-result-json.ts';
import { boltonRows } from '../report/report-sizes.ts';
import type { CliIo } from './cli-io.ts';
import { readDocument } from './read-input.ts';

export interface BoltonOptions {
  /** Print JSON instead of text. */
  readonly json?: boolean;
}

/** `archgap bolton`: tooth widths of the two arches against each other. */
export async function bolton(
  upperPath: string,
  lowerPath: string,
  options: BoltonOptions,
  io: CliIo,
): Promise<void> {
  const upper = await readDocument(io, upperPath, readResultJson);
  const lower = await readDocument(io, lowerPath, readResultJson);
  const ratios = boltonRatios(upper, lower);
  if (options.json === true) {
    const document = ratios.map((ratio) => ({
      kind: ratio.kind,
      percent: ratio.percent,
      u95_percent: ratio.u95Percent,
      upper_sum_mm: ratio.upperSumMm,
      lower_sum_mm: ratio.lowerSumMm,
      excess: ratio.excess && {
        jaw: ratio.excess.jaw,
        mm: ratio.excess.mm,
        u95_mm: ratio.excess.u95Mm,
      },
      deviations: ratio.deviations,
      reason: ratio.reason,
    }));
    await io.out.write(`${JSON.stringify(document, null, 2)}\n`);
    return;
  }
  const rows = boltonRows(ratios);
  const lines = rows.map(({ name, value, remark }) => `${name}: ${value}. ${remark}`);
  await io.out.write(`${lines.join('\n')}\n${rows[0]?.definition ?? ''}\n`);
}
