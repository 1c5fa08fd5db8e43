import { spawnSync } from 'node:child_process';
import { cpSync, existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { engineFlags } from '../../src/cli/engine-flags.ts';
import { sphereCrownFiles } from '../helpers/sphere-crowns.ts';

const BUILT = fileURLToPath(new URL('../../dist-cli/', import.meta.url));
const built = existsSync(join(BUILT, 'archgap.js'));
if (!built)
  console.warn('dist-cli is absent (npm run build makes it): nobody asks whether the engine was switched');

/**
 * Run in every thread before the program. The engine makes its version tag of all of its switches, too: what it was at
 * the beginning of a thread and at the end of the program is written down. The machine is said to have two cores.
 */
const WITNESS = `
import { appendFileSync } from 'node:fs';
import { syncBuiltinESMExports } from 'node:module';
import os from 'node:os';
import process from 'node:process';
import { cachedDataVersionTag } from 'node:v8';
import { isMainThread } from 'node:worker_threads';
os.availableParallelism = () => 2;
syncBuiltinESMExports();
const tell = (who) => appendFileSync(process.env.TAGS, who + ' ' + cachedDataVersionTag() + '\\n');
if (isMainThread) process.on('exit', () => tell('end'));
else tell('thread');
`;

let home = '';
beforeAll(() => {
  home = mkdtempSync(join(tmpdir(), 'archgap-engine-'));
  if (built) cpSync(BUILT, join(home, 'cli'), { recursive: true });
  writeFileSync(join(home, 'witness.mjs'), WITNESS);
  for (const [name, bytes] of Object.entries(sphereCrownFiles(0.6))) writeFileSync(join(home, name), bytes);
  // Rows that fail at their clicks, on threads all the same.
  writeFileSync(join(home, 'c.json'), '{}');
  writeFileSync(
    join(home, 'm.csv'),
    `scan,clicks,id\n${[1, 2].map((id) => `11.stl,c.json,m${id}\n`).join('')}`,
  );
});
afterAll(() => rmSync(home, { recursive: true, force: true }));

/** The tag of an engine that is started with these switches. */
function tagWith(flags: readonly string[]): string {
  const ask = ['--print', 'require("node:v8").cachedDataVersionTag()'];
  return spawnSync(process.execPath, [...flags, ...ask], { encoding: 'utf8' }).stdout.trim();
}

/** What the witness saw of a run. */
function tagsOf(name: string, ...argv: string[]): string[] {
  const tags = join(home, `${name}.txt`);
  const witness = ['--import', pathToFileURL(join(home, 'witness.mjs')).href];
  const { stderr } = spawnSync(process.execPath, [...witness, join(home, 'cli/archgap.js'), ...argv], {
    cwd: home,
    env: { ...process.env, TAGS: tags },
    encoding: 'utf8',
  });
  expect(stderr).toBe('');
  return readFileSync(tags, 'utf8').trimEnd().split('\n').sort();
}

describe.runIf(built)('the engine of the built command line', () => {
  const plain = tagWith([]);
  const switched = tagWith(engineFlags(process.versions.v8));

  it('tells by its tag whether it has the switches', () => {
    expect(plain).toMatch(/^\d+$/);
    expect(switched === plain).toBe(engineFlags(process.versions.v8).length === 0);
  });

  it('has the switches of a batch on every core before its threads begin', () => {
    expect(tagsOf('full', 'batch', 'm.csv', '--out', 'full', '--jobs', '2')).toEqual([
      `end ${switched}`,
      `thread ${switched}`,
      `thread ${switched}`,
    ]);
  });

  it('keeps its own where a core is free, and in other commands', () => {
    expect(tagsOf('spare', 'batch', 'm.csv', '--out', 'spare', '--jobs', '1')).toEqual([
      `end ${plain}`,
      `thread ${plain}`,
    ]);
    expect(tagsOf('inspect', 'inspect', '11.stl')).toEqual([`end ${plain}`]);
  });
});
