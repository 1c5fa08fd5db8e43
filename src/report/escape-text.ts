const ENTITIES: Readonly<Record<string, string>> = {
  '&': '&amp;',
  '<': '&lt;',
  '>': '&gt;',
  '"': '&quot;',
  "'": '&#39;',
};

/** Characters that XML 1.0 forbids even as references, and that no HTML text needs. */
const FORBIDDEN = /(?![\t\n\r])[\p{Cc}\ufffe\uffff]/gu;

/** Text made safe for HTML and SVG, in element content and in quoted attributes alike. */
export function escapeText(text: string): string {
  return text.replace(FORBIDDEN, '\ufffd').replace(/[&<>"']/g, (character) => ENTITIES[character] ?? '');
}

/** Pairs and spans such as `13-12` or `UR3-UR2`, which must not be broken at the end of a line. */
const PAIR = /\b(?:[UL][LR])?\d{1,2}-(?:[UL][LR])?\d{1,2}\b/g;

/** A sentence as HTML: escaped, and with every contact kept on one line. */
export function sentenceHtml(sentence: string): string {
  return escapeText(sentence).replace(PAIR, '<span class="nb">$&</span>');
}
