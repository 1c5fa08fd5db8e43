import { type Command, type CommanderError, Option } from 'commander';
import { type ArchgapError, usageError } from '../geometry/archgap-error.ts';

/** An option without which a command does nothing. */
class NeededOption extends Option {}

/**
 * An option that has to be given. The parser's own look for one that is missing comes before its look for unknown ones,
 * and one that was mistyped is both; so it is an ordinary one to the parser, and `refuseMissing` looks for it.
 */
export function needed(flags: string, description: string, parse?: (text: string) => unknown): Option {
  const option = new NeededOption(flags, `${description} (needed)`);
  return parse === undefined ? option : option.argParser(parse);
}

/**
 * Refuses a command whose needed options were not all given; everything else about its words was found right.
 *
 * @throws ArchgapError `OPTION_MISSING`
 */
export function refuseMissing(command: Command): void {
  const missing = command.options.filter(
    (option) =>
      option instanceof NeededOption && command.getOptionValue(option.attributeName()) === undefined,
  );
  if (missing.length === 0) return;
  const told = missing.map(
    ({ flags, description }) => `${flags} (${description.replace(/ \(needed\)$/, '')})`,
  );
  throw usageError(
    'OPTION_MISSING',
    `The command ${command.name()} needs ${told.join(' and ')}. ${seeHelp(command.name())}`,
  );
}

/**
 * Refuses an option whose value was left out before another option: the parser would take the next one for the value.
 *
 * @param argv - the words after the program's name
 * @throws ArchgapError `OPTION_WITHOUT_VALUE`
 */
export function refuseValuesLeftOut(program: Command, argv: readonly string[]): void {
  const command = commandOf(program, argv);
  for (const [k, word] of argv.entries()) {
    if (word === '--') return;
    const option = command?.options.find(({ long }) => long === word);
    const next = argv[k + 1];
    if (option?.required && next !== undefined && /^--[a-z]/.test(next)) {
      throw usageError(
        'OPTION_WITHOUT_VALUE',
        `Option '${option.flags}' is followed by ${next} where its value belongs.${takesPath(option) ? dashHint(next) : ''} ${seeHelp(command?.name())}`,
      );
    }
  }
}

function takesPath({ flags }: Option): boolean {
  return /<(file|dirs?|scan|result)\b/.test(flags);
}

function dashHint(name: string): string {
  return ` A file whose name begins with - is named as ./${name}.`;
}

/** The command that the words are for, if any. */
function commandOf(program: Command, argv: readonly string[]): Command | undefined {
  return program.commands.find((command) => command.name() === argv.find((word) => !word.startsWith('-')));
}

function seeHelp(command: string | undefined): string {
  return `See archgap ${command === undefined ? '' : `${command} `}--help.`;
}

const MISUSE_CODES: Readonly<Record<string, string>> = {
  'commander.unknownOption': 'UNKNOWN_OPTION',
  'commander.unknownCommand': 'UNKNOWN_COMMAND',
  'commander.missingArgument': 'ARGUMENT_MISSING',
  'commander.excessArguments': 'ARGUMENT_TOO_MANY',
  'commander.optionMissingArgument': 'OPTION_WITHOUT_VALUE',
  'commander.invalidArgument': 'OPTION_INVALID',
};

/**
 * The parser's complaint as a usage error with a sentence.
 *
 * @param argv - the words after the program's name
 */
export function misuse(fault: CommanderError, program: Command, argv: readonly string[]): ArchgapError {
  if (fault.code === 'commander.help') {
    return usageError(
      'NO_COMMAND',
      'No command was given; expected inspect, measure, plan, compare, fit, bolton, calibrate, batch or agreement. See archgap --help.',
    );
  }
  const text = fault.message
    .replace(/^error: /, '')
    .replace(/\s+/g, ' ')
    .trim();
  const sentence = `${text.charAt(0).toUpperCase()}${text.slice(1)}${/[.)?]$/.test(text) ? '' : '.'}`;
  const see = seeHelp(commandOf(program, argv)?.name());
  return usageError(MISUSE_CODES[fault.code] ?? 'USAGE', `${sentence}${hintOf(fault.code, text)} ${see}`);
}

/** What is often behind a complaint. */
function hintOf(code: string, text: string): string {
  if (code === 'commander.excessArguments') {
    return ' A file that belongs to an option follows its name (--clicks CLICKS.json); a name with spaces stands in quotes.';
  }
  const [, file] = /^unknown option '(-[^-'][^']*[./][^']*)'/.exec(text) ?? [];
  return file === undefined ? '' : dashHint(file);
}
