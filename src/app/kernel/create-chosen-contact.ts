import { type Accessor, createEffect, createMemo, createSignal, on } from 'solid-js';
import type { Analysis, Contact, SectionProfile } from '../../contacts/types.ts';
import type { AnalysisClient } from './analysis-client.ts';
import type { Measured } from './create-contacts.ts';
import { createJob, type Job } from './create-job.ts';
import { type ContactKey, contactKey } from './display-types.ts';

/** The contact that table, plot, view and section show as chosen. */
interface ChosenContact {
  readonly selected: Accessor<ContactKey | null>;
  readonly select: (key: ContactKey | null) => void;
  readonly contact: Accessor<Contact | null>;
  /** The cut through it. */
  readonly section: Accessor<SectionProfile | null>;
  forget(): void;
  readonly job: Job;
}

interface ChosenContactSources {
  readonly client: AnalysisClient;
  readonly scanId: Accessor<string | null>;
  /** Another number for another case; the same one read again keeps it. */
  readonly visit: Accessor<number | undefined>;
  readonly measured: Accessor<Measured | null>;
  readonly analysis: Accessor<Analysis | null>;
}

export function createChosenContact(sources: ChosenContactSources): ChosenContact {
  const { client, scanId, visit, measured, analysis } = sources;
  const job = createJob();
  const [selected, setSelected] = createSignal<ContactKey | null>(null);
  const [section, setSection] = createSignal<SectionProfile | null>(null);

  /** Another case begins without a chosen contact. */
  createEffect(on(createMemo(visit), () => setSelected(null), { defer: true }));
  createEffect(
    on([selected, measured], async ([key, current]) => {
      setSection(null);
      job.cancel();
      const scan = scanId();
      const contact = current?.analysis.contacts.find((one) => contactKey(one) === key);
      if (!contact?.pointA || scan === null) return;
      const { toothA, toothB } = contact;
      const profile = await job.run('Cutting', () => client.section(scan, toothA, toothB));
      if (profile && selected() === key) setSection(profile);
    }),
  );

  return {
    selected,
    select: setSelected,
    contact: createMemo(
      () => analysis()?.contacts.find((contact) => contactKey(contact) === selected()) ?? null,
    ),
    section,
    forget: () => setSection(null),
    job,
  };
}
