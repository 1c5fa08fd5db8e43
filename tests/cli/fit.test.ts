import { readFileSync } from 'node:fs';
import Ajv2020 from 'ajv/dist/2020.js';
import Papa from 'papaparse';
import { beforeAll, describe, expect, it } from 'vitest';
import { makeArch, makeCrownShells } from '../../fixtures/make-arch.ts';
import { FRONT } from '../../fixtures/specs.ts';
import { writePly } from '../../fixtures/write-ply.ts';
import { writeBinaryStl } from '../../fixtures/write-stl.ts';
import { runCli } from '../../src/cli/run-cli.ts';
import { type MemoryWorld, makeMemoryWorld } from '../helpers/memory-io.ts';
import { joined } from '../helpers/scan-files.ts';

const validate = new Ajv2020({ allErrors: true, strict: true, allowUnionTypes: true }).compile(
  JSON.parse(readFileSync(new URL('../../docs/schemas/archgap-fit-1.json', import.meta.url), 'utf8')),
);

/** Four incisors with 0.45 mm at 12-11 and 0.30 at 11-21; the true crown of 11 is the restoration. */
const SPEC = { ...FRONT, gridMm: 0.26, gaps: { '12-11': 0.45, '11-21': 0.3 } };

describe('archgap fit', () => {
  let world: MemoryWorld;
  const text = (path: string) => new TextDecoder().decode(world.files.get(path));
  const sides = (folder: string) =>
    Papa.parse<Record<string, string>>(text(`/here/${folder}/fit.csv`).trimEnd(), { header: true }).data;
  const run = (...more: string[]) =>
    runCli(['fit', 'crown.stl', 'scan.ply', '--tooth', '11', '--clicks', 'clicks.json', ...more], world.io);

  beforeAll(() => {
    const arch = makeArch(SPEC);
    const crown = makeCrownShells(SPEC, 0.3).find(({ tooth }) => tooth === 11)!;
    // Drawn 0.4 mm towards 21: 0.10 mm of overlap there, 0.85 mm of space behind.
    const pair = arch.truth.pairs.find(({ toothA }) => toothA === 11)!;
    const [a, b] = [pair.pointA, pair.pointB];
    const way = b.map((x, k) => (x - a[k]!) / pair.trueGapMm);
    const moved = crown.positions.map((x, i) => x + 0.4 * way[i % 3]!);
    world = makeMemoryWorld({
      'scan.ply': writePly(arch),
      'clicks.json': JSON.stringify(arch.clicks),
      'crown.stl': writeBinaryStl(crown),
      // With seven bytes too many, and so the scan of that fit.
      'moved.stl': joined(
        writeBinaryStl({ positions: moved, triangles: crown.triangles }),
        new Uint8Array(7),
      ),
      'longer.ply': joined(writePly(arch), new Uint8Array(9)),
    });
  }, 120_000);

  it('finds the true spaces of a crown on both sides within their intervals', async () => {
    expect(await run('--out', 'o')).toBe(0);
    const [distal, mesial] = sides('o') as [Record<string, string>, Record<string, string>];
    expect([distal.side, distal.neighbour, mesial.side, mesial.neighbour]).toEqual([
      'distal',
      '12',
      'mesial',
      '21',
    ]);
    expect(Math.abs(Number(distal.space_mm) - 0.45)).toBeLessThanOrEqual(Number(distal.space_u95_mm));
    expect(Math.abs(Number(mesial.space_mm) - 0.3)).toBeLessThanOrEqual(Number(mesial.space_u95_mm));
    expect([distal.status, mesial.status]).toEqual(['open', 'open']);
    const document = JSON.parse(text('/here/o/fit.json'));
    expect(validate(document), JSON.stringify(validate.errors)).toBe(true);
    expect(text('/here/o/report.html')).not.toMatch(/NaN|undefined|\[object/);
  });

  it('finds an overlap, calls it too tight and says how much to take off', async () => {
    const argv = [
      'fit',
      'moved.stl',
      'longer.ply',
      '--tooth',
      '11',
      '--clicks',
      'clicks.json',
      '--out',
      'tight',
    ];
    expect(await runCli(argv, world.io)).toBe(0);
    const mesial = sides('tight')[1]!;
    expect(Math.abs(Number(mesial.space_mm) + 0.1)).toBeLessThanOrEqual(Number(mesial.space_u95_mm));
    expect(mesial.status).toBe('too-tight');
    const told = JSON.parse(text('/here/tight/fit.json')).warnings.filter(
      (one: { code: string }) => one.code === 'TRAILING_BYTES',
    );
    expect(told.map((one: { sentence: string }) => one.sentence.slice(0, 24))).toEqual([
      '"moved.stl": 7 bytes aft',
      '"longer.ply": 9 bytes af',
    ]);
    expect(world.stdout()).toContain('Note TRAILING_BYTES: "longer.ply": 9 bytes after the end');
    expect(Number(mesial.add_mm)).toBeCloseTo(Number(mesial.space_mm) + 0.015, 3);
    expect(Number(mesial.contact_area_50um_mm2)).toBeGreaterThan(Number(mesial.contact_area_20um_mm2));
  });

  it('takes another target, and refuses what is none', async () => {
    expect(await run('--out', 'wide', '--target', '0.25..0.35')).toBe(0);
    expect(sides('wide')[1]!.status).toBe('as-wanted');
    expect(await run('--out', 'x', '--target', '0..-0.03')).toBe(2);
    expect(await run('--out', 'x', '--target', 'tight')).toBe(2);
  });
});
