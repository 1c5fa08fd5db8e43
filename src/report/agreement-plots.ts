import type { AgreementAnalysis } from '../study/assess-agreement.ts';
import { dahlbergPlot, iccPlot, limitsPlot, repeatabilityPlot } from './agreement-plots-svg.ts';
import type { FigureUnit } from './agreement-words.ts';

/** With more pairs of occasions than this the limits of agreement stand in the table alone. */
const MOST_PAIR_PLOTS = 6;

export interface NamedPlot {
  /** File name without ending, safe on every system. */
  readonly name: string;
  readonly svg: string;
}

/** The pictures of one analysis; none where it has no figures. */
export function agreementPlots(
  analysis: AgreementAnalysis,
  index: number,
  unit: FigureUnit,
): readonly NamedPlot[] {
  const { figures } = analysis;
  if (figures === null) return [];
  const stem = `${String(index + 1).padStart(2, '0')}-${slug(analysis.name)}`;
  const pairs = figures.pairs.length <= MOST_PAIR_PLOTS ? figures.pairs : [];
  return [
    ...(figures.icc ? [{ name: `${stem}-icc`, svg: iccPlot(figures.icc) }] : []),
    { name: `${stem}-dahlberg`, svg: dahlbergPlot(analysis, figures, unit) },
    { name: `${stem}-repeatability`, svg: repeatabilityPlot(analysis, figures, unit) },
    ...pairs.map((pair) => ({
      name: `${stem}-limits-${pair.first + 1}-${pair.second + 1}`,
      svg: limitsPlot(analysis, pair, unit),
    })),
  ];
}

function slug(text: string): string {
  return text
    .replace(/[^A-Za-z0-9]+/g, '-')
    .replace(/^-|-$/g, '')
    .slice(0, 60);
}
