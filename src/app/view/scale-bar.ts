/** What the scale bar shows. */
export interface ScaleBar {
  readonly lengthMm: number;
  readonly lengthPx: number;
  /** "2 mm", "0.5 mm" */
  readonly label: string;
}

/** Marks are 1, 2 or 5 times a power of ten; below this the bar says nothing a scan can support. */
const SMALLEST_MM = 0.01;

/**
 * The longest round length (1, 2, 5 times a power of ten) that fits into `widestPx`. The camera is orthographic, so
 * the bar is true at every depth.
 */
export function chooseScaleBar(pxPerMm: number, widestPx: number): ScaleBar {
  const widestMm = widestPx / pxPerMm;
  const decade = 10 ** Math.floor(Math.log10(widestMm));
  const step = widestMm / decade >= 5 ? 5 : widestMm / decade >= 2 ? 2 : 1;
  const lengthMm = Math.max(step * decade, SMALLEST_MM);
  const digits = Math.max(0, -Math.floor(Math.log10(lengthMm) + 1e-9));
  return { lengthMm, lengthPx: lengthMm * pxPerMm, label: `${lengthMm.toFixed(digits)} mm` };
}
