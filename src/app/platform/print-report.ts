const STYLE_ELEMENT = /<style[^>]*>([\s\S]*?)<\/style>/g;

/**
 * Prints the report that is also saved as a file: the very same document, in a hidden frame. The page's security
 * policy forbids style elements, so the report's stylesheet is adopted as an object instead.
 */
export function printReport(html: string): void {
  const styles = [...html.matchAll(STYLE_ELEMENT)].map(([, css]) => css);
  const report = new DOMParser().parseFromString(html.replaceAll(STYLE_ELEMENT, ''), 'text/html');
  const frame = document.createElement('iframe');
  frame.className = 'print-frame';
  frame.title = 'The report, for printing';
  document.body.append(frame);
  const target = frame.contentWindow;
  const page = frame.contentDocument;
  if (!target || !page) {
    frame.remove();
    return;
  }

  const sheet = new (target as Window & typeof globalThis).CSSStyleSheet();
  sheet.replaceSync(styles.join('\n'));
  page.adoptedStyleSheets = [sheet];
  page.documentElement.lang = report.documentElement.lang;
  page.title = report.title;
  page.body.replaceChildren(...[...report.body.childNodes].map((node) => page.importNode(node, true)));
  page.body.className = report.body.className;

  // Who works by keyboard goes on where the printing began; a frame that goes takes the focus with it.
  const focused = document.activeElement;
  target.addEventListener('afterprint', () => {
    frame.remove();
    if (focused instanceof HTMLElement) focused.focus({ preventScroll: true });
  });
  target.focus();
  target.print();
}
