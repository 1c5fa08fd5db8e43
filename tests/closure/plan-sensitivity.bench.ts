import { bench, describe } from 'vitest';
import { planClosure } from '../../src/closure/plan-closure.ts';
import { planSensitivity } from '../../src/closure/sensitivity.ts';
import { DEFAULT_CLOSURE_SETTINGS } from '../../src/closure/settings.ts';
import { analysisOf, gapsAt, saysOf } from './make-analysis.ts';
import { textbookArch, UPPER_14 } from './textbook-arch.ts';

const arch = textbookArch(gapsAt(UPPER_14, { '13-12': 0.25, '11-21': 0.35, '22-23': 0.6 }));
/** Three open contacts; the other ten closed, or bridged as scanners leave them. */
const seen = analysisOf(arch);
const bridged = analysisOf(arch, {
  says: saysOf(arch.gaps).map((said) =>
    said.valueMm === null ? { status: 'bridged', valueMm: null, upperBoundMm: 0.25 } : said,
  ),
});

describe('a whole arch, every span', () => {
  bench('plan', () => {
    planClosure(seen, DEFAULT_CLOSURE_SETTINGS);
  });
  bench('sensitivity, 200 draws', () => {
    planSensitivity(seen, DEFAULT_CLOSURE_SETTINGS);
  });
  bench('sensitivity, 200 draws planned twice, ten bridged contacts', () => {
    planSensitivity(bridged, DEFAULT_CLOSURE_SETTINGS);
  });
});
