import { strFromU8, strToU8, unzipSync, type Zippable, zipSync } from 'fflate';
import { describe, expect, it } from 'vitest';
import { readCaseFile } from '../../src/casefile/read-case-file.ts';
import { writeCaseFile } from '../../src/casefile/write-case-file.ts';
import { seededRandom } from '../helpers/random.ts';
import { makeCaseArch, makeCaseContent } from './make-case.ts';

const OPTIONS = { version: '1.2.3', savedAt: '2026-01-05T10:00:00.000Z' };
const whole = () => writeCaseFile(makeCaseContent(), OPTIONS);

/** The case file with its manifest, or its entries, changed by hand. */
async function changed(
  change: (manifest: Record<string, never> & { arches: never[] }) => unknown,
  entries: (files: Zippable) => Zippable = (files) => files,
): Promise<Uint8Array> {
  const files = unzipSync(await whole());
  const manifest = JSON.parse(strFromU8(files['manifest.json']!));
  const text = JSON.stringify(change(manifest) ?? manifest);
  return zipSync(entries({ ...files, 'manifest.json': strToU8(text) }));
}

const code = (expected: string) => ({ code: expected, kind: 'input' });
const reading = (bytes: Uint8Array) => readCaseFile(bytes, null);

describe('a case file', () => {
  it('gives back every scan byte for byte and every word and number of the user', async () => {
    const { content, manifest, encrypted } = await reading(await whole());
    expect(content).toEqual(makeCaseContent());
    expect(encrypted).toBe(false);
    expect(manifest).toMatchObject({ schema: 'archgap-case/1', ...OPTIONS });
    const again = await writeCaseFile(content, OPTIONS);
    expect(Buffer.from(again).equals(Buffer.from(await whole()))).toBe(true);
  });

  it('holds one arch as well as two', async () => {
    const content = { demo: true, arches: [makeCaseArch()] } as const;
    expect((await reading(await writeCaseFile(content, OPTIONS))).content).toEqual(content);
  });

  it('is a plain zip that other programs open, with the scans as files', async () => {
    const files = unzipSync(await whole());
    expect(Object.keys(files)).toEqual([
      'manifest.json',
      'scans/1-nten-gr-er.ply',
      'scans/2-nten-gr-er.ply',
      'scans/3-etc-upper.stl',
    ]);
    expect([...files['scans/3-etc-upper.stl']!]).toEqual([0, 255, 10, 13, 26, 0]);
    expect(JSON.parse(strFromU8(files['manifest.json']!)).arches[0].inputs.closure).toMatchObject({
      max_stages: 2,
      per_stage_rad: Math.PI / 90,
    });
  });

  it('that is no zip, no case or another program’s zip is told apart', async () => {
    await expect(reading(strToU8('solid test'))).rejects.toMatchObject(code('CASE_FILE_NOT_ZIP'));
    await expect(reading(new Uint8Array())).rejects.toMatchObject(code('CASE_FILE_NOT_ZIP'));
    await expect(reading(zipSync({ 'scan.stl': strToU8('solid') }))).rejects.toMatchObject(
      code('CASE_FILE_NOT_OURS'),
    );
    await expect(reading(await changed(() => ({ name: 'an app' })))).rejects.toMatchObject(
      code('CASE_FILE_NOT_OURS'),
    );
    await expect(reading(await changed(() => 7))).rejects.toMatchObject(code('CASE_FILE_NOT_OURS'));
  });

  it('of a newer program is refused with its version', async () => {
    const bytes = await changed((manifest) => ({ ...manifest, schema: 'archgap-case/2' }));
    await expect(reading(bytes)).rejects.toMatchObject({
      ...code('CASE_FILE_NEWER'),
      details: { found: 2, known: 1 },
    });
  });

  it.each<[string, (arch: ReturnType<typeof JSON.parse>) => void]>([
    ['an unknown tooth', (arch) => arch.inputs.missing.push(99)],
    ['a place that is no number', (arch) => arch.inputs.clicks[0].point.splice(0, 1, '1')],
    ['a negative limit', (arch) => (arch.inputs.limit_mm = -1)],
    ['clicks without jaw', (arch) => (arch.inputs.jaw = null)],
    ['clicks without origin', (arch) => (arch.origin_mm = null)],
    ['a limit of metres', (arch) => (arch.inputs.limit_mm = 100)],
    ['a strip that is thicker than any space', (arch) => (arch.inputs.floss[0].space_mm = 1e15)],
    ['more stages than any treatment', (arch) => (arch.inputs.closure.max_stages = 1e15)],
    ['stages that move nothing', (arch) => (arch.inputs.closure.per_stage_mm = 5e-324)],
    ['stages of kilometres', (arch) => (arch.inputs.closure.per_stage_mm = 1e6)],
    ['stages of many turns', (arch) => (arch.inputs.closure.per_stage_rad = 1e15)],
    ['motion that is never expressed', (arch) => (arch.inputs.closure.expression = 5e-324)],
    ['an arm of nothing', (arch) => (arch.inputs.closure.rotation_arm_mm = 5e-324)],
    [
      'an over-closure of metres',
      (arch) => (arch.inputs.closure.targets = [{ tooth_a: 36, tooth_b: 35, target_mm: -1e3 }]),
    ],
    ['no inputs', (arch) => delete arch.inputs],
    ['a scan elsewhere', (arch) => (arch.scan.path = '../scan.ply')],
    ['a scan of another folder', (arch) => (arch.scan.path = 'manifest.json')],
  ])('whose manifest has %s is refused with the place', async (_, change) => {
    const bytes = await changed((manifest) => void change(manifest.arches[0]!));
    await expect(reading(bytes)).rejects.toMatchObject(code('CASE_FILE_INVALID'));
  });

  it.each<[string, (arch: ReturnType<typeof JSON.parse>) => void, string]>([
    [
      'a field that is not there',
      (arch) => delete arch.inputs.limit_mm,
      'at arches.0.inputs.limit_mm: it is missing; expected a number. Take another copy',
    ],
    [
      'a number beyond its range',
      (arch) => (arch.inputs.limit_mm = 100),
      'at arches.0.inputs.limit_mm: expected at most 5, found 100.',
    ],
    ['clicks without origin', (arch) => (arch.origin_mm = null), 'is wrong: clicks without the origin'],
  ])('names %s as the file does', async (_, change, sentence) => {
    const bytes = await changed((manifest) => void change(manifest.arches[0]!));
    await expect(reading(bytes)).rejects.toThrow(sentence);
  });

  it('whose manifest is nested without end is refused like every wrong one', async () => {
    const files = unzipSync(await whole());
    const text = strFromU8(files['manifest.json']!).replace(
      '"jaw": "lower"',
      `"jaw": ${'['.repeat(20_000)}${']'.repeat(20_000)}`,
    );
    const bytes = zipSync({ ...files, 'manifest.json': strToU8(text) });
    await expect(reading(bytes)).rejects.toMatchObject(code('CASE_FILE_INVALID'));
  });

  it('with a tooth of the other jaw is refused as a click file would be', async () => {
    const bytes = await changed((manifest: ReturnType<typeof JSON.parse>) => {
      manifest.arches[0].inputs.clicks[0].tooth = 11;
    });
    await expect(reading(bytes)).rejects.toMatchObject(code('TOOTH_WRONG_JAW'));
  });

  it('with one jaw twice is refused', async () => {
    const bytes = await changed((manifest: ReturnType<typeof JSON.parse>) => {
      manifest.arches[1].inputs.jaw = 'lower';
    });
    await expect(reading(bytes)).rejects.toMatchObject(code('CASE_FILE_INVALID'));
  });

  it('takes prototype keys for what they are: unknown fields', async () => {
    const files = unzipSync(await whole());
    const text = strFromU8(files['manifest.json']!).replace(
      '"demo": false',
      '"demo": false, "__proto__": {"polluted": true}, "constructor": {"prototype": {"polluted": true}}',
    );
    const { content } = await reading(zipSync({ ...files, 'manifest.json': strToU8(text) }));
    expect(content).toEqual(makeCaseContent());
    expect(Object.hasOwn(Object.prototype, 'polluted')).toBe(false);
    expect((content as unknown as { polluted?: boolean }).polluted).toBeUndefined();
  });

  it('whose scan was changed, cut or left out is refused', async () => {
    const path = 'scans/3-etc-upper.stl';
    const other = await changed(
      () => undefined,
      (files) => ({ ...files, [path]: strToU8('123456') }),
    );
    await expect(reading(other)).rejects.toMatchObject(code('CASE_FILE_DAMAGED'));
    const without = await changed(
      () => undefined,
      (files) => Object.fromEntries(Object.entries(files).filter(([name]) => name !== path)),
    );
    await expect(reading(without)).rejects.toMatchObject({
      ...code('CASE_FILE_DAMAGED'),
      message: expect.stringContaining('is missing from the case file'),
    });
  });

  it.each(['../evil.stl', '/etc/evil', 'scans/../../evil', 'C:\\evil', 'scans\\evil', './a', 'a\u0000b'])(
    'with an entry named %j is refused',
    async (name) => {
      const bytes = await changed(
        () => undefined,
        (files) => ({ ...files, [name]: strToU8('x') }),
      );
      await expect(reading(bytes)).rejects.toMatchObject(code('CASE_FILE_PATH'));
    },
  );

  it('ignores harmless entries that it does not know', async () => {
    const bytes = await changed(
      () => undefined,
      (files) => ({ ...files, '__MACOSX/._manifest.json': strToU8('x'), 'read me.txt': strToU8('x') }),
    );
    expect((await reading(bytes)).content).toEqual(makeCaseContent());
  });

  it('that would unpack to many times its size is refused before it is unpacked', async () => {
    const bomb = zipSync({ 'manifest.json': new Uint8Array(8_000_000) }, { level: 9 });
    expect(bomb.length).toBeLessThan(10_000);
    await expect(reading(bomb)).rejects.toMatchObject(code('CASE_FILE_TOO_LARGE'));
    const many = zipSync(Object.fromEntries(Array.from({ length: 65 }, (_, i) => [`${i}`, strToU8('')])));
    await expect(reading(many)).rejects.toMatchObject(code('CASE_FILE_TOO_LARGE'));
  });

  it('that lies about the size of an entry gives an error, not that much memory', async () => {
    const bytes = (await whole()).slice();
    const view = new DataView(bytes.buffer);
    for (let at = 0; at < bytes.length - 4; at++) {
      // The uncompressed size in every record of the central directory (APPNOTE.TXT 4.3.12).
      if (view.getUint32(at, true) === 0x02014b50) view.setUint32(at + 24, 0xfffffff0, true);
    }
    await expect(reading(bytes)).rejects.toMatchObject(code('CASE_FILE_TOO_LARGE'));
  });

  it('cut anywhere or with any byte changed never comes back as another case', async () => {
    const bytes = await whole();
    const random = seededRandom(41);
    const attempts = Array.from({ length: 300 }, (_, k) => {
      if (k < 60) return bytes.slice(0, Math.floor(random() * bytes.length));
      const other = bytes.slice();
      const at = Math.floor(random() * bytes.length);
      other[at] = (other[at]! + 1 + Math.floor(random() * 254)) % 256;
      return other;
    });
    const outcomes = { same: 0, refused: 0 };
    for (const attempt of attempts) {
      try {
        const { content } = await reading(attempt);
        expect(content).toEqual(makeCaseContent());
        outcomes.same += 1;
      } catch (fault) {
        expect(fault).toMatchObject({ name: 'ArchgapError', kind: 'input' });
        outcomes.refused += 1;
      }
    }
    expect(outcomes.refused).toBeGreaterThan(200);
  });

  it('with a bit of its manifest changed never comes back as another case, however well it still reads', async () => {
    const bytes = await whole();
    const packed = new DataView(bytes.buffer).getUint32(18, true);
    const from = 30 + 'manifest.json'.length;
    expect(packed).toBeGreaterThan(500);
    let refused = 0;
    for (let at = from; at < from + packed; at += 1) {
      const other = bytes.slice();
      other[at]! ^= 1 << (at % 8);
      try {
        // A few bits of what is packed stand for nothing.
        expect((await reading(other)).content, `byte ${at}`).toEqual(makeCaseContent());
      } catch (fault) {
        expect(fault, `byte ${at}`).toMatchObject({ code: 'CASE_FILE_DAMAGED' });
        refused += 1;
      }
    }
    expect(refused).toBeGreaterThan(0.99 * packed);
  });

  it('whose manifest is no UTF-8 is refused, not read with signs in place of letters', async () => {
    const files = unzipSync(await whole());
    const latin1 = Buffer.from(strFromU8(files['manifest.json']!).replaceAll('–', '-'), 'latin1');
    await expect(reading(zipSync({ ...files, 'manifest.json': latin1 }))).rejects.toMatchObject(
      code('TEXT_NOT_UTF8'),
    );
  });
});
