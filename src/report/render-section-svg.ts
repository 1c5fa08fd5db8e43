import { escapeText } from './escape-text.ts';
import type { SectionPanel, SectionPictureModel } from './section-svg.ts';
import { px, svgText } from './svg-path.ts';

/**
 * The picture as one SVG element with classes `sp-...`; colours come from the stylesheet round it.
 * @param idPrefix - letters and digits; makes the clip names unique in a page with several pictures
 */
export function renderSectionSvg(model: SectionPictureModel, idPrefix: string): string {
  const panels = model.panels.map((panel, index) => renderPanel(panel, `${idPrefix}${index}`)).join('');
  return `<svg class="sp" viewBox="0 0 ${px(model.widthPx)} ${px(model.heightPx)}" role="img" aria-label="${escapeText(model.title)}">${panels}</svg>`;
}

function renderPanel(panel: SectionPanel, id: string): string {
  const { frame, scaleBar } = panel;
  const rect = `x="${px(frame.x + 0.5)}" y="${px(frame.y + 0.5)}" width="${px(frame.widthPx - 1)}" height="${px(frame.heightPx - 1)}" rx="8"`;
  const out: string[] = [
    `<defs><clipPath id="${id}c"><rect ${rect}/></clipPath>`,
    `<linearGradient id="${id}f" gradientUnits="userSpaceOnUse" x1="0" x2="0" y1="${px(frame.y)}" y2="${px(frame.y + frame.heightPx)}"><stop offset="0.5" stop-color="#fff"/><stop offset="1" stop-color="#fff" stop-opacity="0.25"/></linearGradient>`,
    `<mask id="${id}m" maskUnits="userSpaceOnUse" ${rect}><rect ${rect} fill="url(#${id}f)"/></mask></defs>`,
    `<rect class="sp-frame" ${rect}/><g clip-path="url(#${id}c)"><g mask="url(#${id}m)">`,
  ];
  for (const tooth of panel.teeth) out.push(`<path class="sp-body sp-${tooth.which}" d="${tooth.body}"/>`);
  out.push(
    `</g><path class="sp-gum" d="${panel.gumBody}"/><path class="sp-gum-line" d="${panel.gumOutline}"/>`,
  );
  for (const fit of panel.fits) {
    // The attributes hold where a stylesheet does not know the class: a path without them would be filled black.
    out.push(
      `<path class="sp-fit" d="${fit.path}" fill="none" stroke="currentColor" stroke-opacity="0.25" stroke-width="7"/>`,
    );
  }
  for (const tooth of panel.teeth) out.push(`<path class="sp-wall sp-${tooth.which}" d="${tooth.outline}"/>`);
  if (panel.dimension) {
    const { x1, y1, x2, y2, witness, arrows } = panel.dimension;
    out.push(
      `<line class="sp-distance" x1="${px(x1)}" y1="${px(y1)}" x2="${px(x2)}" y2="${px(y2)}"/>`,
      `<path class="sp-witness" d="${witness}"/><path class="sp-arrows" d="${arrows}"/>`,
    );
  }
  for (const point of panel.points) {
    out.push(
      `<circle class="sp-point" cx="${px(point.x)}" cy="${px(point.y)}" r="${panel.kind === 'lens' ? 4 : 2.2}"/>`,
    );
  }
  if (panel.lensMark) {
    const { x, y, widthPx, heightPx } = panel.lensMark;
    out.push(
      `<rect class="sp-lens" x="${px(x)}" y="${px(y)}" width="${px(widthPx)}" height="${px(heightPx)}" rx="4"/>`,
    );
  }
  out.push('</g>');
  for (const tooth of panel.teeth)
    if (tooth.label) out.push(svgText('sp-tooth', tooth.label.x, tooth.label.y, tooth.label.text, 'middle'));
  if (panel.dimension)
    out.push(
      svgText(
        'sp-value',
        panel.dimension.label.x,
        panel.dimension.label.y,
        panel.dimension.label.text,
        panel.dimension.label.anchor,
      ),
    );
  for (const caption of panel.captions)
    out.push(
      svgText(
        caption.what === 'gum' ? 'sp-caption sp-gum-caption' : 'sp-caption',
        caption.x,
        caption.y,
        caption.text,
        caption.anchor,
      ),
    );
  const { x, y, lengthPx, label } = scaleBar;
  out.push(
    `<path class="sp-scale" d="M${px(x)} ${px(y - 4)}v4h${px(lengthPx)}v-4"/>`,
    svgText('sp-scale-label', x + lengthPx / 2, y - 7, label, 'middle'),
  );
  return out.join('');
}
