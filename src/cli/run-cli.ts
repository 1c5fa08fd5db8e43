import { Command, CommanderError, Option } from 'commander';
import { type AgreementOptions, agreement } from './agreement.ts';
import { type BatchOptions, batch } from './batch.ts';
import { type BoltonOptions, bolton } from './bolton.ts';
import { type CalibrateOptions, calibrate } from './calibrate.ts';
import type { CliIo } from './cli-io.ts';
import { type CompareOptions, compare } from './compare.ts';
import { type FitOptions, runFit } from './fit.ts';
import { type InspectOptions, inspect } from './inspect.ts';
import { measure } from './measure.ts';
import type { MeasureOptions } from './measure-options.ts';
import { misuse, needed, refuseMissing, refuseValuesLeftOut } from './misuse.ts';
import {
  ARCH_PARTS,
  collectCrown,
  collectFloss,
  collectOverClose,
  JAWS,
  parseColumns,
  parseJobs,
  parseLimit,
  parsePart,
  parseScannerName,
  parseShare,
  parseStages,
  parseStep,
  parseTarget,
  parseTeeth,
  parseToothOption,
  parseTurn,
  SCHEMES,
  SPAN_RULES,
  UNITS,
} from './option-values.ts';
import { type PlanOptions, plan } from './plan.ts';
import { EXIT, reportFault } from './report-fault.ts';

/**
 * The command line: reads the words, does the work, says what went wrong in one line.
 * @param argv - the words after the program's name
 * @returns the exit status: 0 done, 1 done but with failed rows, 2 wrong usage, 3 input unreadable or invalid, 4 internal fault, 130 stopped
 */
export async function runCli(argv: readonly string[], io: CliIo): Promise<number> {
  const written: string[] = [];
  let status: number = EXIT.done;
  const program = describeProgram(io, written, (failed) => {
    if (failed) status = EXIT.failedItems;
  });
  try {
    refuseValuesLeftOut(program, argv);
    await program.parseAsync([...argv], { from: 'user' });
    await flush(io, written);
    return status;
  } catch (fault) {
    if (fault instanceof CommanderError && fault.exitCode === 0) {
      await flush(io, written);
      return EXIT.done;
    }
    const report = reportFault(
      fault instanceof CommanderError ? misuse(fault, program, argv) : fault,
      argv.includes('--json-errors'),
      io.version,
    );
    io.err.write(report.line);
    return report.status;
  }
}

async function flush(io: CliIo, written: readonly string[]): Promise<void> {
  if (written.length > 0) await io.out.write(written.join(''));
}

function describeProgram(io: CliIo, written: string[], onFailedItems: (failed: boolean) => void): Command {
  const program = new Command('archgap')
    .description(
      'Measures the spaces between neighbouring teeth on an intraoral scan, and works out which span of tightening stages would close what is open. It measures and proposes; a licensed clinician decides.',
    )
    .version(io.version, '-V, --version', 'print the version')
    .helpOption('-h, --help', 'print this help')
    .option('--json-errors', 'print errors as one JSON object instead of a line of text')
    .configureHelp({ showGlobalOptions: true })
    .configureOutput({ writeOut: (text) => written.push(text), writeErr: () => {} })
    .hook('preAction', (_, command) => refuseMissing(command))
    .exitOverride();
  describeInspect(program, io);
  describeMeasure(program, io);
  describePlan(program, io);
  describeCompare(program, io);
  describeFit(program, io);
  describeBolton(program, io);
  describeCalibrate(program, io);
  describeBatch(program, io, onFailedItems);
  describeAgreement(program, io);
  program.addHelpText(
    'after',
    '\nExit status: 0 done, 1 done but with failed rows (batch), 2 wrong usage, 3 input unreadable or invalid, 4 internal fault, 130 stopped.\nFiles and columns are described in docs/formats.md.',
  );
  return program;
}

function unitOption(): Option {
  return new Option(
    '--unit <unit>',
    'unit of the numbers in the files; decided from the size unless given',
  ).choices([...UNITS]);
}

function passphraseOption(): Option {
  return new Option('--passphrase-file <file>', 'file whose first line opens an encrypted case file');
}

function numberingOption(): Option {
  return new Option(
    '--numbering <scheme>',
    'tooth numbers in texts for people; tables and JSON are always ISO 3950',
  )
    .choices([...SCHEMES])
    .default('iso');
}

function describeInspect(program: Command, io: CliIo): void {
  program
    .command('inspect')
    .summary('what a scan file is')
    .description('Says what a scan file is: format, unit, triangles, and what the checks found.')
    .argument('<scan>', 'STL or PLY file, or case file')
    .option('--json <file>', 'write the facts as JSON; - is standard output')
    .addOption(unitOption())
    .addOption(passphraseOption())
    .action((scan: string, options: InspectOptions) => inspect(scan, options, io));
}

function describeMeasure(program: Command, io: CliIo): void {
  program
    .command('measure')
    .summary('the space at every contact of an arch')
    .description(
      'Measures every contact of one arch and writes contacts.csv, teeth.csv, result.json, labelled.ply and report.html. Either a scan with clicks, or separate crown meshes in one frame, or a case file saved by the page: then also plan.json, plan.csv and note.txt, and a folder per jaw where both are clicked.',
    )
    .usage(
      'SCAN --clicks CLICKS.json --out DIR [options]\n       archgap measure --crown 11=FILE --crown 21=FILE ... --jaw upper --out DIR [options]\n       archgap measure CASE.zip --out DIR [options]',
    )
    .argument('[scan]', 'STL or PLY file, or case file')
    .option('--clicks <file>', 'one click per tooth, JSON')
    .option('--crown <tooth=file>', 'a separate crown; once per crown', collectCrown)
    .addOption(new Option('--jaw <jaw>', 'jaw of the separate crowns').choices([...JAWS]))
    .addOption(needed('--out <dir>', 'folder for the files'))
    .option('--limit <mm>', 'space still called closed, mm (default: 0.10)', parseLimit)
    .addOption(unitOption())
    .option('--scanner <file>', 'terms of a calibrated scanner, archgap-scanner/1')
    .addOption(passphraseOption())
    .addOption(numberingOption())
    .action((scan: string | undefined, options: MeasureOptions) => measure(scan, options, io));
}

function describePlan(program: Command, io: CliIo): void {
  program
    .command('plan')
    .summary('which tightening stages would close what is open')
    .description(
      'Works out which span of tightening stages would close the open contacts of a result.json, what each span opens, and writes plan.json, plan.csv and note.txt. Where labelled.ply lies beside the result, the proposed span is measured on the moved crowns.',
    )
    .argument('<result>', 'result.json written by archgap measure')
    .addOption(needed('--out <dir>', 'folder for the files'))
    .option(
      '--limit <mm>',
      'space still called closed, mm (default: that of the practice, else as measured)',
      parseLimit,
    )
    .option('--max-stages <n>', 'most stages to propose (default: 3)', parseStages)
    .option('--per-stage <mm>', 'largest motion one stage may ask of a tooth, mm (default: 0.25)', parseStep)
    .option('--per-stage-deg <deg>', 'largest turn one stage may ask of a tooth (default: 1.2)', parseTurn)
    .option(
      '--expression <share>',
      'share of the programmed motion that is expressed (default: 0.8)',
      parseShare,
    )
    .option(
      '--practice <file>',
      'preferences of the practice, archgap-practice/1; other options depart from them, and the plan says where',
    )
    .addOption(
      new Option('--moved <part>', 'where teeth were moved, for the rule of thumb').choices([...ARCH_PARTS]),
    )
    .addOption(
      new Option('--reduction <part>', 'where enamel was reduced, for the rule of thumb').choices([
        ...ARCH_PARTS,
      ]),
    )
    .option('--fixed <teeth>', 'teeth that must not move, ISO 3950, such as 16,26', parseTeeth)
    .addOption(
      new Option('--span-rule <rule>', 'which spans may be proposed (default: shortest)').choices([
        ...SPAN_RULES,
      ]),
    )
    .option(
      '--floss <contact=finding>',
      'what floss or a strip said, once per contact: 13-12=closed, 13-12=open, or mm of the strip that passed',
      collectFloss,
    )
    .option(
      '--over-close <contact=mm>',
      'programme this much more motion than the space asks for, once per contact, so that the teeth still press when part of it is not expressed (default: none)',
      collectOverClose,
    )
    .option(
      '--opposing-result <result>',
      'result.json of the opposing arch: whether tooth widths are why spaces stay (Bolton)',
    )
    .option(
      '--opposing <scan>',
      'scan of the opposing arch in the same frame (exported with the bite): room along each motion',
    )
    .addOption(new Option('--unit <unit>', 'unit of the opposing scan').choices([...UNITS]))
    .addOption(numberingOption())
    .action((result: string, options: PlanOptions) => plan(result, options, io));
}

function describeCompare(program: Command, io: CliIo): void {
  program
    .command('compare')
    .summary('what changed at every contact since an earlier scan')
    .description(
      'Lays the scan of an earlier result folder over a new scan of the same jaw, carries clicks and numbers over, measures again and says what became of every contact, against plan.json when it lies in that folder. Needs no click.',
    )
    .argument(
      '<before>',
      'folder that archgap measure wrote: result.json, labelled.ply, and plan.json if there; or the result itself, also as the page names it (scan-upper-result.json)',
    )
    .argument('<scan>', 'the new scan, STL or PLY, in any pose')
    .option('--clicks <file>', 'clicks on the new scan, JSON; carried over when left out')
    .addOption(needed('--out <dir>', 'folder for the files'))
    .option(
      '--scanner <file>',
      'terms of the scanner of the new scan; changes by one stated scanner are surer',
    )
    .option('--limit <mm>', 'space still called closed, mm (default: that of the earlier result)', parseLimit)
    .addOption(unitOption())
    .addOption(numberingOption())
    .action((before: string, scan: string, options: CompareOptions) => compare(before, scan, options, io));
}

function describeFit(program: Command, io: CliIo): void {
  program
    .command('fit')
    .summary('a designed restoration against its neighbours')
    .description(
      'Measures a restoration against the teeth beside it on a scan in the same frame: too tight, as wanted or open per side, how much to add or take off and where, and the area of contact.',
    )
    .argument('<restoration>', 'the restoration, STL or PLY, in the frame and unit of the scan')
    .argument('<scan>', 'STL or PLY file with the neighbours')
    .addOption(needed('--tooth <tooth>', 'tooth of the restoration, ISO 3950', parseToothOption))
    .addOption(needed('--clicks <file>', 'one click per neighbour, JSON'))
    .addOption(needed('--out <dir>', 'folder for the files'))
    .option(
      '--target <range>',
      'wanted space, mm, such as -0.03..0 (the default); minus: it presses',
      parseTarget,
    )
    .addOption(unitOption())
    .option('--scanner <file>', 'terms of a calibrated scanner, archgap-scanner/1')
    .addOption(numberingOption())
    .action((restoration: string, scan: string, options: FitOptions) =>
      runFit(restoration, scan, options, io),
    );
}

function describeBolton(program: Command, io: CliIo): void {
  program
    .command('bolton')
    .summary('tooth widths of two arches against each other')
    .description(
      'Prints Bolton’s overall and anterior ratio of an upper and a lower result.json, with the excess in millimetres.',
    )
    .argument('<upper>', 'result.json of the upper arch')
    .argument('<lower>', 'result.json of the lower arch')
    .option('--json', 'print JSON instead of text')
    .action((upper: string, lower: string, options: BoltonOptions) => bolton(upper, lower, options, io));
}

function describeCalibrate(program: Command, io: CliIo): void {
  program
    .command('calibrate')
    .summary('the terms of a scanner from a block with known spaces')
    .description(
      'Compares what measure said about scans of a block with the known spaces of the block, and writes the scanner’s terms for measure --scanner.',
    )
    .argument('<known>', 'CSV with tooth_a, tooth_b, gap_mm, and if wanted scan and u_mm')
    .argument('<results...>', 'result.json of every scan of the block')
    .addOption(needed('--name <name>', 'name of the scanner', parseScannerName))
    .addOption(needed('--out <file>', 'file for the terms; - is standard output'))
    .action((known: string, results: string[], options: CalibrateOptions) =>
      calibrate(known, results, options, io),
    );
}

function describeBatch(program: Command, io: CliIo, onFailedItems: (failed: boolean) => void): void {
  program
    .command('batch')
    .summary('every scan of a list, on all cores')
    .description(
      'Measures every scan of a list into a folder of its own, and writes contacts.csv, teeth.csv, rows.csv and failures.csv of all with a data package. Scans that are done and unchanged are not measured again; a row that fails is listed and does not stop the rest. Every line of the tables begins with its row: the id and the columns that tell repetitions apart, without an id the file name of the scan, with the folders in which the paths differ where names are alike. Paths below the folder of the manifest are written from there, all others as the manifest has them.',
    )
    .argument('<manifest>', 'CSV with scan, clicks, and if wanted jaw, id, operator, session, repeat ...')
    .addOption(needed('--out <dir>', 'folder for the files'))
    .option('--jobs <n>', 'scans at once (default: one per core)', parseJobs)
    .option('--part <k/n>', 'only every n-th row from row k, for one of n machines', parsePart)
    .option('--merge <dirs...>', 'measure nothing: put the folders of all parts together')
    .option('--limit <mm>', 'space still called closed, mm (default: 0.10)', parseLimit)
    .addOption(unitOption())
    .option('--scanner <file>', 'terms of a calibrated scanner, archgap-scanner/1')
    .addOption(numberingOption())
    .action(async (manifest: string, options: BatchOptions) =>
      onFailedItems(!(await batch(manifest, options, io))),
    );
}

function describeAgreement(program: Command, io: CliIo): void {
  program
    .command('agreement')
    .summary('how repeated measurements agree')
    .description(
      'Compares measurements of the same targets by several operators, sessions, scanners or repetitions: intraclass correlations, Dahlberg’s error, limits of agreement and repeatability coefficient with 95 % intervals, as agreement.csv, agreement.json, report.html and plots. Numbers that are missing are told, never filled in.',
    )
    .argument('<tables...>', 'CSV of batch or measure, or any table with a measurement per row')
    .addOption(needed('--out <dir>', 'folder for the files'))
    .option('--value <column>', 'the measurement (default: gap_mm, mesiodistal_mm or value)')
    .option(
      '--target <columns>',
      'what names a target (default: those of id, jaw, tooth_a, tooth_b, tooth that are there)',
      parseColumns,
    )
    .option(
      '--by <columns>',
      'what names an occasion (default: those of operator, session, scanner, repeat that are there, else the table)',
      parseColumns,
    )
    .action((tables: string[], options: AgreementOptions) => agreement(tables, options, io));
}
