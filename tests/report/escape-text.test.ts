import { describe, expect, it } from 'vitest';
import { escapeText } from '../../src/report/escape-text.ts';

describe('escapeText', () => {
  it('replaces the five characters that mean something in HTML', () => {
    expect(escapeText(`<a href="x" title='y'>&amp;`)).toBe(
      '&lt;a href=&quot;x&quot; title=&#39;y&#39;&gt;&amp;amp;',
    );
  });

  it('keeps letters of any script, tabs and line breaks', () => {
    expect(escapeText('Zähne 歯\t\n± ≤')).toBe('Zähne 歯\t\n± ≤');
  });

  it('replaces control characters, which HTML forbids', () => {
    expect(escapeText('a\u0000b\u001bc\u0085d')).toBe('a\ufffdb\ufffdc\ufffdd');
  });
});
