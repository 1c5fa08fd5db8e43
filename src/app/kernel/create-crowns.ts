import { type Accessor, batch, createMemo, createSignal, untrack } from 'solid-js';
import type { RecordFile } from '../../../workers/analysis-api.ts';
import type { CrownsFileKind, CrownsReply } from '../../../workers/lab-api.ts';
import type { ContactView } from '../../contacts/crown-contact-view.ts';
import { contactWithLimit } from '../../contacts/decide.ts';
import { DEFAULT_MEASURE_SETTINGS } from '../../contacts/settings.ts';
import type { Analysis, Contact } from '../../contacts/types.ts';
import { inputError } from '../../geometry/archgap-error.ts';
import { listWords } from '../../report/contact-words.ts';
import type { LengthUnit } from '../../scan/types.ts';
import { formatTooth, jawOf, toothSortIndex } from '../../teeth/notation.ts';
import type { Jaw, NumberingScheme, ToothNumber } from '../../teeth/types.ts';
import type { AnalysisClient } from './analysis-client.ts';
import { createJob, type Job } from './create-job.ts';
import { type ContactKey, contactKey, type DisplayScan } from './display-types.ts';
import type { CaseFile } from './given-file.ts';
import { bearsNumber, toothInName } from './tooth-in-name.ts';

/** One crown file on the desk. */
export interface CrownEntry {
  readonly id: number;
  readonly file: CaseFile;
  /** Null until somebody says it. */
  readonly tooth: ToothNumber | null;
}

/** What was measured of the crowns, and how they are drawn. */
interface MeasuredCrowns {
  readonly analysis: Analysis;
  readonly display: DisplayScan;
  readonly labels: Uint8Array;
}

/** Separate crowns in one frame, each against its neighbours. */
export interface CrownsControl {
  readonly entries: Accessor<readonly CrownEntry[]>;
  readonly add: (files: readonly CaseFile[]) => void;
  /** Files of the last ones that were given again under their name, with the tooth that was said: these count now. */
  readonly replaced: Accessor<readonly string[]>;
  readonly remove: (id: number) => void;
  readonly setTooth: (id: number, tooth: ToothNumber | null) => void;
  /** Null = decided from the size. */
  readonly unit: Accessor<LengthUnit | null>;
  readonly setUnit: (unit: LengthUnit | null) => void;
  readonly limitMm: Accessor<number>;
  readonly setLimitMm: (limitMm: number) => void;
  /** Why it cannot be measured yet; null = it can. */
  readonly wants: Accessor<string | null>;
  readonly job: Job;
  readonly measure: () => Promise<void>;
  readonly measured: Accessor<MeasuredCrowns | null>;
  /** The contact looked at, with its pictures once they are drawn. */
  readonly selected: Accessor<ContactKey | null>;
  readonly select: (key: ContactKey | null) => void;
  readonly contact: Accessor<Contact | null>;
  readonly view: Accessor<ContactView | null>;
  readonly viewJob: Job;
  readonly fileJob: Job;
  readonly writeFile: (kind: CrownsFileKind) => Promise<RecordFile | null>;
}

export interface CrownsSources {
  readonly client: AnalysisClient;
  readonly numbering: Accessor<NumberingScheme>;
  readonly version: string;
  readonly now: () => Date;
}

export function createCrowns({ client, numbering, version, now }: CrownsSources): CrownsControl {
  const [entries, setEntries] = createSignal<readonly CrownEntry[]>([]);
  const [replaced, setReplaced] = createSignal<readonly string[]>([]);
  const [unit, putUnit] = createSignal<LengthUnit | null>(null);
  const [limitMm, setLimitMm] = createSignal(DEFAULT_MEASURE_SETTINGS.limitMm);
  const [reply, setReply] = createSignal<CrownsReply | null>(null);
  const [selected, putSelected] = createSignal<ContactKey | null>(null);
  const [view, setView] = createSignal<ContactView | null>(null);
  const job = createJob();
  const viewJob = createJob();
  const fileJob = createJob();
  let made = 0;

  const jaw = (): Jaw | null => {
    const [first] = entries().flatMap(({ tooth }) => (tooth === null ? [] : [tooth]));
    return first === undefined ? null : jawOf(first);
  };
  const wants = createMemo(() => {
    const all = entries();
    if (all.length < 2) return 'Two crowns at least: a contact has two sides.';
    const unnamed = all.find(({ tooth }) => tooth === null);
    if (unnamed) return `Say which tooth ${unnamed.file.name} is.`;
    const twice = all.find(({ tooth, id }) => all.some((other) => other.id !== id && other.tooth === tooth));
    if (twice) {
      const names = all.filter(({ tooth }) => tooth === twice.tooth).map(({ file }) => file.name);
      const name = formatTooth(twice.tooth!, numbering());
      return `Tooth ${name} has ${names.length} files, ${listWords(names)}: take out what is not wanted.`;
    }
    const stray = all.find(({ tooth }) => tooth !== null && jawOf(tooth) !== jaw());
    return stray ? 'Crowns of one jaw at a time: upper and lower teeth are mixed.' : null;
  });
  const analysis = createMemo(() => {
    const found = reply()?.analysis;
    if (!found) return null;
    const limit = limitMm();
    return {
      ...found,
      settings: { ...found.settings, limitMm: limit },
      contacts: found.contacts.map((contact) => contactWithLimit(contact, limit)),
    };
  });
  const measured = createMemo((): MeasuredCrowns | null => {
    const found = reply();
    const decided = analysis();
    if (!found || !decided) return null;
    return { analysis: decided, display: displayOf(found), labels: found.labels };
  });
  const contact = createMemo(
    () => analysis()?.contacts.find((one) => contactKey(one) === selected()) ?? null,
  );

  /** Whatever was measured is of other crowns now. */
  function change(next: readonly CrownEntry[]): void {
    batch(() => {
      job.cancel();
      job.clear();
      setEntries(next);
      setReplaced([]);
      forget();
    });
  }

  function forget(): void {
    viewJob.cancel();
    const gone = reply();
    if (gone) client.closeCrowns(gone.crownsId).catch(() => {});
    setReply(null);
    putSelected(null);
    setView(null);
  }

  /** Names bear ISO numbers or nothing that can be told from them. */
  function proposedTooth(name: string): ToothNumber | null {
    return untrack(numbering) === 'iso' ? toothInName(name, null) : null;
  }

  /**
   * The crown whose place a file takes: one that was changed is exported again under its name, and what was said of its
   * tooth stands. A name without a number may be another crown's, and so may one that several files have.
   */
  function formerOf(
    { name }: CaseFile,
    given: readonly CaseFile[],
    before: readonly CrownEntry[],
  ): CrownEntry | undefined {
    const alike = before.filter(({ file }) => file.name === name);
    const isOne = alike.length === 1 && given.filter((file) => file.name === name).length === 1;
    if (isOne && bearsNumber(name)) return alike[0];
    const named = proposedTooth(name);
    return alike.find(({ tooth }) => tooth !== null && tooth === named);
  }

  async function measure(): Promise<void> {
    if (wants() !== null) return;
    const crowns = entries().map(({ file, tooth }) => ({
      fileName: file.name,
      bytes: file.bytes,
      tooth: tooth!,
    }));
    // Crowns count as they are: a scanner that was said for a scan on this device is not theirs.
    const settings = { limitMm: limitMm() };
    const found = await job.run('Measuring the crowns', (watch) =>
      client.measureCrowns({ crowns, jaw: jaw()!, unit: unit(), settings }, watch),
    );
    if (!found) return;
    setReply(found);
    const worst = found.analysis.contacts
      .filter(({ pointA }) => pointA !== null)
      .toSorted((a, b) => (a.gap?.valueMm ?? -1) - (b.gap?.valueMm ?? -1))[0];
    await select(worst ? contactKey(worst) : null);
  }

  async function select(key: ContactKey | null): Promise<void> {
    const id = reply()?.crownsId;
    const chosen = analysis()?.contacts.find((one) => contactKey(one) === key);
    batch(() => {
      putSelected(key);
      setView(null);
    });
    if (id === undefined || !chosen || chosen.pointA === null) return viewJob.cancel();
    const { toothA, toothB } = chosen;
    const drawn = await viewJob.run('Drawing the contact', () => client.viewCrowns(id, toothA, toothB));
    if (drawn) setView(drawn);
  }

  return {
    entries,
    add(files) {
      const before = untrack(entries);
      const given = files.map((file) => {
        made += 1;
        const named = proposedTooth(file.name);
        const former = formerOf(file, files, before);
        return { entry: { id: made, file, tooth: former?.tooth ?? named }, former, named };
      });
      const goes = (entry: CrownEntry) => given.some(({ former }) => former?.id === entry.id);
      batch(() => {
        change(sorted([...before.filter((entry) => !goes(entry)), ...given.map(({ entry }) => entry)]));
        setReplaced(
          given.flatMap(({ former, named, entry: { file, tooth } }) => {
            if (former === undefined) return [];
            return tooth === null || tooth === named
              ? [file.name]
              : [`${file.name} as ${formatTooth(tooth, untrack(numbering))}`];
          }),
        );
      });
    },
    replaced,
    remove: (id) => change(entries().filter((entry) => entry.id !== id)),
    setTooth: (id, tooth) =>
      change(entries().map((entry) => (entry.id === id ? { ...entry, tooth } : entry))),
    unit,
    setUnit(next) {
      batch(() => {
        putUnit(next);
        change(entries());
      });
    },
    limitMm,
    setLimitMm,
    wants,
    job,
    measure,
    measured,
    selected,
    select: (key) => void select(key),
    contact,
    view,
    viewJob,
    fileJob,
    writeFile(kind) {
      const id = reply()?.crownsId;
      const current = analysis();
      if (id === undefined || !current) return Promise.resolve(null);
      const createdAt = now().toISOString();
      return fileJob.run('Writing', async () => {
        if (current.contacts.length === 0)
          throw inputError('NO_CONTACT', 'No two of the crowns are neighbours.');
        const about = { kind, analysis: current, numbering: numbering(), version, createdAt };
        const file = await client.writeCrowns(id, about);
        return { ...file, fileName: `${crownsPrefix(current.jaw)}${file.fileName}` };
      });
    },
  };
}

/** What the names of files about crowns begin with: those of the scan and of the other jaw are called alike. */
export function crownsPrefix(jaw: Jaw): string {
  return `crowns-${jaw}-`;
}

function displayOf({ crownsId, positions, normals, triangles }: CrownsReply): DisplayScan {
  return { scanId: crownsId, positions, normals, triangles, colors: null };
}

function sorted(entries: readonly CrownEntry[]): readonly CrownEntry[] {
  const place = ({ tooth }: CrownEntry) =>
    tooth === null ? Number.POSITIVE_INFINITY : toothSortIndex(tooth);
  return entries.toSorted((a, b) => {
    const [p, q] = [place(a), place(b)];
    return p === q ? a.id - b.id : p - q;
  });
}
