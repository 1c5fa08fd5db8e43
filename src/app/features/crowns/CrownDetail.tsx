import { For, Show } from 'solid-js';
import { noteWords, pairLabel, spaceWords } from '../../../report/contact-words.ts';
import { formatTooth } from '../../../teeth/notation.ts';
import { ContactMapLegend, ContactMapPicture } from '../../components/ContactMapPicture.tsx';
import { JobLine } from '../../components/JobLine.tsx';
import { StatusMark } from '../../components/StatusMark.tsx';
import { useApp } from '../../kernel/app-context.ts';
import { SectionPicture } from '../contacts/SectionPicture.tsx';
import { UncertaintyTerms } from '../contacts/UncertaintyTerms.tsx';

/** The chosen contact of two crowns: the cut, and both walls in one pair of axes. */
export function CrownDetail() {
  const { crowns, preferences } = useApp();
  const name = (tooth: number) => formatTooth(tooth, preferences.numbering());
  return (
    <Show
      when={crowns.contact()}
      fallback={<p class="lab-empty">Choose a contact in the table to see the cut through it.</p>}
    >
      {(contact) => (
        <article class="crown-detail" aria-label="The chosen contact">
          <header class="detail-head">
            <h3>{pairLabel(contact().toothA, contact().toothB, preferences.numbering())}</h3>
            <StatusMark contact={contact()} />
            <span class="detail-space">{spaceWords(contact())}</span>
          </header>
          <Show when={contact().notes.length > 0}>
            <ul class="note-list">
              <For each={contact().notes}>{(note) => <li>{noteWords(note)}</li>}</For>
            </ul>
          </Show>
          <JobLine job={crowns.viewJob} />
          <Show when={crowns.view()}>
            {(view) => (
              <>
                <div class="crown-pictures">
                  <SectionPicture
                    profile={view().section}
                    contact={contact()}
                    numbering={preferences.numbering()}
                  />
                  <ContactMapPicture map={view().mapA} caption={`${name(contact().toothA)}, its wall`} />
                  <ContactMapPicture map={view().mapB} caption={`${name(contact().toothB)}, its wall`} />
                </div>
                <ContactMapLegend />
                <p class="quiet small">
                  Both walls are drawn in the same axes, cheek or lip to the right, crown tops up: laid over
                  each other they meet. Distances between corners of the triangles are taken as linear.
                </p>
              </>
            )}
          </Show>
          <Show when={contact().gap}>{(gap) => <UncertaintyTerms gap={gap()} />}</Show>
        </article>
      )}
    </Show>
  );
}
