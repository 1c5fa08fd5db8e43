import { escapeText } from './escape-text.ts';

export type TextAnchor = 'start' | 'middle' | 'end';

/** A pixel coordinate as SVG text: two decimals at most. */
export function px(value: number): string {
  return String(Math.round(value * 100) / 100);
}

/** Path data of one straight stroke. */
export function strokePath(from: readonly [number, number], to: readonly [number, number]): string {
  return `M${px(from[0])} ${px(from[1])}L${px(to[0])} ${px(to[1])}`;
}

/** A text element; the content is escaped here. */
export function svgText(cls: string, x: number, y: number, content: string, anchor: TextAnchor): string {
  return `<text class="${cls}" x="${px(x)}" y="${px(y)}" text-anchor="${anchor}">${escapeText(content)}</text>`;
}
