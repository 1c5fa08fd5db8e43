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
