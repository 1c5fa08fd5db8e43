import { escapeText } from './escape-text.ts';

/** Whose record it is; empty = not said. */
export interface RecordHeading {
  readonly patient: string;
  readonly practice: string;
}

/** The line at the head of a printed page; nothing where nobody said anything. */
export function headingLine(heading: RecordHeading | null | undefined): string {
  const said = [
    ['patient', heading?.patient ?? ''],
    ['practice', heading?.practice ?? ''],
  ] as const;
  const parts = said
    .filter(([, text]) => text !== '')
    .map(([name, text]) => `<span>${name} <b>${escapeText(text)}</b></span>`);
  return parts.length > 0 ? `\n<p class="whose">${parts.join('')}</p>` : '';
}
