import { describe, expect, it } from 'vitest';
import { runCli } from '../../src/cli/run-cli.ts';
import { makeMemoryWorld } from '../helpers/memory-io.ts';

async function refused(...argv: string[]): Promise<string> {
  const { io, stderr, stdout } = makeMemoryWorld({});
  expect(await runCli(argv, io)).toBe(2);
  expect(stdout()).toBe('');
  return stderr();
}

describe('an option that was mistyped', () => {
  // The words that each command needs, with --out, --name or --unit written wrongly.
  it.each([
    [['inspect', 's.ply', '--unti', 'mm'], '--unti', '--unit'],
    [['measure', 's.ply', '--clicks', 'c.json', '--outt', 'o'], '--outt', '--out'],
    [['plan', 'r.json', '--outt', 'o'], '--outt', '--out'],
    [['compare', 'before', 's.ply', '--outt', 'o'], '--outt', '--out'],
    [['fit', 'r.stl', 's.ply', '--toth', '11', '--clicks', 'c.json', '--out', 'o'], '--toth', '--tooth'],
    [['bolton', 'u.json', 'l.json', '--jsn'], '--jsn', '--json'],
    [['calibrate', 'k.csv', 'r.json', '--nmae', 'a', '--out', 'o.json'], '--nmae', '--name'],
    [['batch', 'm.csv', '--outt', 'x'], '--outt', '--out'],
    [['agreement', 't.csv', '--outt', 'o'], '--outt', '--out'],
  ])('%j is told before what is missing for it, with the nearest there is', async (argv, wrong, right) => {
    expect(await refused(...argv)).toBe(
      `archgap: UNKNOWN_OPTION: Unknown option '${wrong}' (Did you mean ${right}?) See archgap ${argv[0]} --help.\n`,
    );
  });

  it('is told before a file that is missing, too', async () => {
    expect(await refused('batch', '--outt', 'x')).toContain("UNKNOWN_OPTION: Unknown option '--outt'");
  });
});

describe('an option that is missing', () => {
  it('is told with what it is, and with the others that are missing', async () => {
    expect(await refused('fit', 'r.stl', 's.ply', '--out', 'o')).toBe(
      'archgap: OPTION_MISSING: The command fit needs --tooth <tooth> (tooth of the restoration, ISO 3950) and --clicks <file> (one click per neighbour, JSON). See archgap fit --help.\n',
    );
  });

  it('is marked as needed in the help', async () => {
    const { io, stdout } = makeMemoryWorld({});
    expect(await runCli(['batch', '--help'], io)).toBe(0);
    expect(stdout()).toMatch(/--out <dir> +folder for the files \(needed\)/);
    expect(stdout().match(/\(needed\)/g)).toHaveLength(1);
  });
});

describe('a value that was left out', () => {
  it.each([
    [['measure', 's.ply', '--clicks', '--out', 'o'], "Option '--clicks <file>' is followed by --out "],
    [['batch', 'm.csv', '--jobs', '--out', 'o'], "Option '--jobs <n>' is followed by --out "],
    [
      ['batch', 'm.csv', '--out', 'o', '--merge', '--numbering', 'iso'],
      "Option '--merge <dirs...>' is followed by --num",
    ],
  ])('%j: the next option is not taken for it', async (argv, words) => {
    expect(await refused(...argv)).toContain(`archgap: OPTION_WITHOUT_VALUE: ${words}`);
  });

  it('a number, a name or a column is not told how files are named', async () => {
    expect(await refused('batch', 'm.csv', '--jobs', '--out', 'o')).toBe(
      "archgap: OPTION_WITHOUT_VALUE: Option '--jobs <n>' is followed by --out where its value belongs. See archgap batch --help.\n",
    );
  });

  it.each(['--opposing', '--opposing-result', '--practice'])(
    'how a file is named is told at %s, whatever the file is called there',
    async (option) => {
      expect(await refused('plan', 'r.json', option, '--out', 'o')).toContain(
        ' A file whose name begins with - is named as ./--out. See archgap plan --help.',
      );
    },
  );

  it('a value that begins with a dash is one', async () => {
    const { io, stderr } = makeMemoryWorld({});
    const argv = ['fit', 'r.stl', 's.ply', '--tooth', '11', '--clicks', 'c.json', '--out', 'o'];
    expect(await runCli([...argv, '--target', '-0.03..0'], io)).toBe(3);
    expect(stderr()).toContain('FILE_NOT_FOUND');
  });
});

it('a file too many is told where those of options belong', async () => {
  expect(await refused('measure', 's.ply', 'c.json', '--out', 'o')).toMatch(
    /^archgap: ARGUMENT_TOO_MANY: Too many arguments for 'measure'\. .* follows its name \(--clicks CLICKS\.json\);/,
  );
});
