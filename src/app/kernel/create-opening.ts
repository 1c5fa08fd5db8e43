import type { Accessor } from 'solid-js';
import type { Analysis, ScannerProfile } from '../../contacts/types.ts';
import type { ArchgapError } from '../../geometry/archgap-error.ts';
import type { LengthUnit } from '../../scan/types.ts';
import { withClicksPlaced } from './case-inputs.ts';
import { type Beside, createBeside } from './create-beside.ts';
import { createFiles, type FileSources, type Files, type KeptCase } from './create-files.ts';
import { createNotices, type Notices } from './create-notices.ts';
import { createOpenScan, type OpenScan } from './create-open-scan.ts';
import { createRounds, type Rounds } from './create-rounds.ts';
import { keptBeside } from './kept-beside.ts';
import { keptSteps } from './kept-steps.ts';
import { caseArchOf, leftArch, type OtherArch } from './other-arch.ts';
import { placeInUnit } from './place-in-unit.ts';

/** Every way in which a scan comes onto the page, and leaves it. A way that fails leaves the case as it was. */
export interface Opening
  extends Pick<OpenScan, 'open' | 'settled' | 'earlier' | 'openJob' | 'closeCase'>,
    Pick<Beside, 'other' | 'otherJob' | 'setOther' | 'refuseOther' | 'measureOther'>,
    Files,
    Notices,
    Rounds {
  readonly beside: Beside;
  /** The other arch where it lies in the frame of the open scan: both are of the same round of scans. */
  readonly opposing: Accessor<OtherArch | null>;
  /** Reads the file again in the unit that the user names; null = let the size decide. */
  overruleUnit(unit: LengthUnit | null): Promise<void>;
  /** Works on the other arch; `analysis` is what was measured on this one. */
  showOther(analysis: Analysis | null): Promise<void>;
  /** The open case as it is saved; null while there is none. */
  kept(): KeptCase | null;
  /** The worker died: opens the scan in a new one. */
  recover(error: ArchgapError): Promise<void>;
}

export interface OpeningSources extends Omit<FileSources, 'scan' | 'practice' | 'ofDevice'> {
  readonly now: () => Date;
  readonly practice?: FileSources['practice'];
  /** Terms of the scanner in use; left out: the stated assumptions. */
  readonly scanner?: Accessor<ScannerProfile | null>;
  /** Those that new cases of this device begin with. */
  readonly ofDevice?: Accessor<ScannerProfile | null>;
}

/** Deaths of the worker within a minute after which the page stops trying by itself. */
const MOST_RECOVERIES = 2;
const RECOVERY_MEMORY_MS = 60_000;

export function createOpening({
  now,
  practice,
  scanner = () => null,
  ofDevice = () => null,
  ...sources
}: OpeningSources): Opening {
  const { client, control } = sources;
  const notices = createNotices();
  const { tell } = notices;
  const beside = createBeside(client, control, practice, scanner);
  const { other, otherJob, setOther, refuseOther, measureOther } = beside;
  const scan = createOpenScan({ client, control, beside, onOpened: notices.dismissNotice });
  const { open, settled, earlier, openJob, closeCase } = scan;
  let deaths: number[] = [];

  return {
    ...createFiles({ ...sources, practice, ofDevice, scan }),
    ...{ open, settled, earlier, openJob, closeCase },
    ...createRounds({ scan, beside, control }),
    ...notices,
    ...{ beside, other, otherJob, setOther, refuseOther, measureOther },
    opposing: () => (other()?.earlier.length === earlier().length ? other() : null),
    async overruleUnit(unit) {
      const current = open();
      if (!current) return;
      await scan.openAgain(unit, ({ facts }) => ({
        ...withClicksPlaced(control.inputs(), placeInUnit(current.facts, facts)),
        unit,
      }));
    },
    async showOther(analysis) {
      const current = open();
      const next = other();
      if (!current || !next) return;
      const left = leftArch(current, control.history(), analysis, earlier());
      await scan.openScan({
        id: current.id,
        file: { name: next.fileName, bytes: next.bytes },
        demo: current.demo,
        unit: next.unit,
        start: () => next.history,
        besides: () => beside.trade(left),
        earlier: next.earlier,
      });
    },
    kept() {
      const current = open();
      if (!current) return null;
      const first = leftArch(current, control.history(), null, earlier());
      const second = other();
      const { demo } = current;
      const both = second ? [first, second] : [first];
      const apart = keptBeside(beside.steps(), both);
      return {
        content: { demo, arches: second ? [caseArchOf(first), caseArchOf(second)] : [caseArchOf(first)] },
        steps: both.map(({ history }) => keptSteps(history)),
        ...(apart ? { beside: apart } : {}),
      };
    },
    async recover(error) {
      const time = now().getTime();
      deaths = [...deaths.filter((death) => time - death < RECOVERY_MEMORY_MS), time];
      // Without a case nobody has clicked anything; whether one that is open is on the device stands beside its name.
      if (!open()) return tell(error.message, 'failed');
      if (deaths.length > MOST_RECOVERIES) {
        tell(`${error.message} Your clicks and settings are as they were.`, 'failed');
        return;
      }
      tell('The calculation stopped unexpectedly and was started again; the scan is being read anew.');
      if (await scan.openAgain(control.inputs().unit ?? null, control.inputs)) {
        tell('The calculation had stopped and was started again; nothing of the case was lost.');
      }
    },
  };
}
