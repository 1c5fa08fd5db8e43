import { For, Show } from 'solid-js';
import type { Contact } from '../../../contacts/types.ts';
import { noteWords, pairLabel, spaceWords } from '../../../report/contact-words.ts';
import { formatMm } from '../../../report/format-mm.ts';
import { ErrorLine } from '../../components/ErrorLine.tsx';
import { StatusMark } from '../../components/StatusMark.tsx';
import { useApp } from '../../kernel/app-context.ts';
import { STATUS_MEANINGS } from '../../kernel/words.ts';
import { FlossEntry } from './FlossEntry.tsx';
import { SectionPicture } from './SectionPicture.tsx';
import { UncertaintyTerms } from './UncertaintyTerms.tsx';

/** The chosen contact: what its status means, the section through it, where its uncertainty comes from. */
export function ContactDetail() {
  const { controller, preferences } = useApp();
  const { results } = controller;
  const sectionFailed = () => {
    const state = results.jobs.section.state();
    return state.kind === 'failed' ? state.error.message : null;
  };
  return (
    <Show
      when={results.selectedContact()}
      fallback={
        <p class="quiet small on-screen">
          Choose a contact here, in the plot or on the scan to see the cut through it.
        </p>
      }
    >
      {(contact) => (
        <article class="contact-detail" aria-label="The chosen contact">
          <header class="detail-head">
            <h3>{pairLabel(contact().toothA, contact().toothB, preferences.numbering())}</h3>
            <StatusMark contact={contact()} />
            <span class="detail-space">{spaceWords(contact())}</span>
            <button
              type="button"
              class="icon-button"
              aria-label="Let go of this contact"
              onClick={() => results.select(null)}
            >
              ×
            </button>
          </header>
          <p class="small">{STATUS_MEANINGS[contact().status]}</p>
          <Show when={contact().notes.length > 0}>
            <ul class="note-list">
              <For each={contact().notes}>{(note) => <li>{noteWords(note)}</li>}</For>
            </ul>
          </Show>
          <Show when={results.section()}>
            {(profile) => (
              <div class="section-frame">
                <SectionPicture profile={profile()} contact={contact()} numbering={preferences.numbering()} />
              </div>
            )}
          </Show>
          <Show when={sectionFailed()}>{(sentence) => <ErrorLine sentence={sentence()} />}</Show>
          <p class="small quiet">{placeWords(contact())}</p>
          <Show when={contact().gap}>{(gap) => <UncertaintyTerms gap={gap()} />}</Show>
          <Show when={contact().status !== 'missing-tooth'}>
            <FlossEntry contact={contact()} />
          </Show>
        </article>
      )}
    </Show>
  );
}

/** Where the contact lies and how large its web is, as far as known. */
function placeWords(contact: Contact): string {
  const { heightMm, slipMm, nearestMm, bridgeHeightMm, bridgeWidthMm, bridge } = contact;
  const parts = [
    heightMm !== null &&
      `${formatMm(Math.abs(heightMm))} mm ${heightMm < 0 ? 'above' : 'below'} the occlusal plane`,
    slipMm !== null && `contact points offset by ${formatMm(Math.abs(slipMm))} mm across the arch`,
    nearestMm !== null && `smallest distance of the two surfaces as scanned ${formatMm(nearestMm)} mm`,
    bridge !== 'none' &&
      bridgeHeightMm !== null &&
      bridgeWidthMm !== null &&
      `web ${formatMm(bridgeHeightMm)} mm high and ${formatMm(bridgeWidthMm)} mm wide`,
  ].filter((part) => part !== false);
  if (parts.length === 0) return '';
  const text = parts.join('; ');
  return `${text.charAt(0).toUpperCase()}${text.slice(1)}.`;
}
