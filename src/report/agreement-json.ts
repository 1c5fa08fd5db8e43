import type { AgreementAnalysis } from '../study/assess-agreement.ts';
import type { Estimate } from '../study/limits-of-agreement.ts';
import type { RepeatedMeasurements } from '../study/repeated-measurements.ts';
import { agreementWarnings } from './agreement-warnings.ts';

export interface AgreementSource {
  readonly fileName: string;
  /** As the table is called where it is an occasion: its file's name, and what tells it from others of that name. */
  readonly name: string;
  readonly sha256: string;
}

/** `agreement.json`, schema `archgap-agreement/1`: every figure in full, the numbers behind them, what was left out. */
export function writeAgreementJson(
  data: RepeatedMeasurements,
  analyses: readonly AgreementAnalysis[],
  about: { readonly version: string; readonly sources: readonly AgreementSource[] },
): string {
  const document = {
    schema: 'archgap-agreement/1',
    software: { name: 'archgap', version: about.version },
    sources: about.sources.map(({ fileName, sha256 }) => ({ file_name: fileName, sha256 })),
    value_column: data.valueColumn,
    unit: data.unit,
    target_columns: data.targetColumns,
    occasion_columns: data.occasionColumns,
    scan_column: data.scanColumn,
    targets: data.targets.length,
    warnings: agreementWarnings(data, analyses, about.sources),
    analyses: analyses.map(analysisJson),
  };
  return `${JSON.stringify(document, null, 1)}\n`;
}

function analysisJson(analysis: AgreementAnalysis): object {
  const { figures } = analysis;
  return {
    name: analysis.name,
    factor: analysis.factor,
    occasions: analysis.occasions,
    scans_shared: analysis.scansShared,
    complete_targets: analysis.targets.length,
    left_out: analysis.leftOut,
    number_on_some: analysis.numberOnSome,
    reasons: analysis.reasons,
    refusal: analysis.refusal,
    figures: figures && {
      mean_squares: {
        between_targets: figures.anova.between,
        within_targets: figures.anova.within,
        between_occasions: figures.anova.occasion,
        residual: figures.anova.residual,
      },
      icc:
        figures.icc?.map(({ form, value, interval, lack, test }) => ({
          form,
          value,
          low95: interval?.[0] ?? null,
          high95: interval?.[1] ?? null,
          lack,
          test,
        })) ?? null,
      dahlberg: estimate(figures.error.dahlberg),
      random_error: estimate(figures.error.random),
      repeatability_coefficient: estimate(figures.error.repeatability),
      occasion_test: figures.error.occasionTest,
      limits_of_agreement: figures.pairs.map((pair) => ({
        first: analysis.occasions[pair.first],
        second: analysis.occasions[pair.second],
        bias: estimate(pair.bias),
        difference_sd: pair.sd,
        lower: estimate(pair.lower),
        upper: estimate(pair.upper),
        slope: pair.slope && estimate(pair.slope),
      })),
    },
    data: analysis.targets.map((target, i) => ({ target, values: analysis.values[i] })),
  };
}

function estimate({ value, low, high }: Estimate): object {
  return { value, low95: low, high95: high };
}
