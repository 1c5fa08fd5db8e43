import { Show } from 'solid-js';
import { teethNotSaid } from '../../../contacts/not-clicked.ts';
import type { Analysis } from '../../../contacts/types.ts';
import { listWords, pairLabel } from '../../../report/contact-words.ts';
import { formatTooth } from '../../../teeth/notation.ts';
import { useApp } from '../../kernel/app-context.ts';

/** Which teeth between clicked ones have no click, what they are taken for until then, and what to do. */
export function UnclickedLine(props: { readonly analysis: Analysis }) {
  const { preferences } = useApp();
  const numbering = () => preferences.numbering();
  const sites = () => props.analysis.contacts.filter((one) => teethNotSaid(props.analysis, one).length > 0);
  const teeth = () => sites().flatMap((one) => teethNotSaid(props.analysis, one));
  const pairs = () => listWords(sites().map(({ toothA, toothB }) => pairLabel(toothA, toothB, numbering())));
  const [one, many] = [
    (names: string) =>
      `${names} has no click and is not marked missing: ${pairs()} is taken across it, as over a missing tooth. Click it or mark it missing, under Teeth.`,
    (names: string) =>
      `${names} have no click and are not marked missing: ${pairs()} ${sites().length === 1 ? 'is' : 'are'} taken across them, as over missing teeth. Click them or mark them missing, under Teeth.`,
  ];
  return (
    <Show when={teeth().length > 0}>
      <p class="warning-line">
        {(teeth().length === 1 ? one : many)(
          listWords(teeth().map((tooth) => formatTooth(tooth, numbering()))),
        )}
      </p>
    </Show>
  );
}
