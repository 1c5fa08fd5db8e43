import { batch, createSignal, For, Show } from 'solid-js';
import {
  readScannerProfile,
  SCANNER_TERMS,
  type ScannerTerm,
  scannerTerm,
  writeScannerProfile,
} from '../../../contacts/scanner-profile.ts';
import { UNCALIBRATED_SCANNER } from '../../../contacts/settings.ts';
import type { ScannerProfile } from '../../../contacts/types.ts';
import { ArchgapError, namingFile } from '../../../geometry/archgap-error.ts';
import { FilePicker } from '../../components/FilePicker.tsx';
import { NumberField } from '../../components/NumberField.tsx';
import { TakenOverScanner } from '../../components/TakenOverScanner.tsx';
import { useApp } from '../../kernel/app-context.ts';
import { withScanner } from '../../kernel/case-inputs.ts';
import { download } from '../../platform/browser.ts';

/** The first change makes the assumptions a profile of its own. */
const OWN_NAME = 'own terms';
const MOST_NAME = 80;

/**
 * The terms of the scanner that one scan cannot show: kept with the case, where new cases of this device start, and as a
 * file.
 */
export function ScannerBox() {
  const { controller, preferences } = useApp();
  const [refused, setRefused] = createSignal<string | null>(null);
  const profile = () => controller.scanner() ?? UNCALIBRATED_SCANNER;
  const keep = (scanner: ScannerProfile | null) =>
    controller.change((inputs) => withScanner(inputs, scanner), 'scanner');
  /** A choice holds for this case and for those that are begun from now on. */
  const choose = (scanner: ScannerProfile | null) =>
    batch(() => {
      preferences.setScanner(scanner);
      keep(scanner);
    });
  const deviceName = () => (preferences.scanner() ?? UNCALIBRATED_SCANNER).name;
  const differs = () => JSON.stringify(controller.scanner()) !== JSON.stringify(preferences.scanner());
  const own = () => ({
    ...profile(),
    name: controller.scanner() === null ? OWN_NAME : profile().name,
  });
  const setTerm = (term: ScannerTerm, value: number) => choose({ ...own(), [term.key]: value });
  const setName = (input: HTMLInputElement) => {
    const name = input.value.trim();
    if (name !== '') choose({ ...own(), name });
    input.value = profile().name;
  };
  const load = async (files: FileList) => {
    setRefused(null);
    try {
      choose(readScannerProfile(await (files[0]?.text() ?? '')));
    } catch (thrown) {
      const fault = namingFile(thrown, files[0]?.name ?? '');
      if (!(fault instanceof ArchgapError)) throw fault;
      setRefused(fault.message);
    }
  };
  const save = () =>
    download({
      fileName: 'scanner.json',
      mediaType: 'application/json',
      bytes: new TextEncoder().encode(writeScannerProfile(profile())),
    });
  return (
    <details class="scanner-box">
      <summary>
        Scanner: <span class="quiet">{profile().name}</span>
        <Show when={differs()}>
          <span class="quiet">, kept with this case; this device: {deviceName()}</span>
        </Show>
      </summary>
      <Show when={differs()}>
        <p class="small">
          The contacts are measured with the terms that came with the case. New cases on this device begin
          with “{deviceName()}”.{' '}
          <button type="button" class="button small" onClick={() => keep(preferences.scanner())}>
            Measure this case with those
          </button>
        </p>
      </Show>
      <TakenOverScanner />
      <p class="small quiet">
        What one scan cannot show of its own errors. Change it only for a scanner that was tried on a block
        with known spaces; the contacts are measured again.
      </p>
      <label class="scanner-name">
        Name
        <input
          type="text"
          maxLength={MOST_NAME}
          value={profile().name}
          onChange={(event) => setName(event.currentTarget)}
        />
      </label>
      <For each={SCANNER_TERMS}>
        {(term) => (
          <div class="scanner-term">
            <NumberField
              label={term.label}
              unit={term.unit === 'mm' ? 'mm' : 'of the space'}
              value={scannerTerm(profile(), term)}
              min={0}
              max={term.most}
              step={term.step}
              onChange={(value) => setTerm(term, value)}
            />
            <span class="small quiet">
              Default {term.defaultValue}. {term.source}
            </span>
          </div>
        )}
      </For>
      <div class="button-row">
        <FilePicker class="button small" onFiles={(files) => void load(files)}>
          Load a scanner file …
        </FilePicker>
        <button type="button" class="button small" onClick={save}>
          Save as file
        </button>
        <button
          type="button"
          class="button small"
          disabled={controller.scanner() === null}
          onClick={() => choose(null)}
        >
          Back to the assumptions
        </button>
      </div>
      <Show when={refused()}>
        {(sentence) => (
          <p class="field-wrong" role="alert">
            {sentence()}
          </p>
        )}
      </Show>
    </details>
  );
}
