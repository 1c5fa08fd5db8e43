import { readFileSync } from 'node:fs';
import Ajv2020 from 'ajv/dist/2020.js';
import { strFromU8, unzipSync } from 'fflate';
import { describe, expect, it } from 'vitest';
import { readManifest, writeManifest } from '../../src/casefile/case-manifest.ts';
import { readCaseFile } from '../../src/casefile/read-case-file.ts';
import { writeCaseFile } from '../../src/casefile/write-case-file.ts';
import { makeCaseArch, makeCaseContent, makeOtherArch } from './make-case.ts';

const OPTIONS = { version: '1.2.3', savedAt: '2026-01-05T10:00:00.000Z' };
const schema = JSON.parse(
  readFileSync(new URL('../../docs/schemas/archgap-case-1.json', import.meta.url), 'utf8'),
);

describe('the manifest of a case file', () => {
  it.each([
    ['two arches', makeCaseContent()],
    ['one bare scan of the demo', { demo: true, arches: [makeOtherArch()] } as const],
    ['one arch', { demo: false, arches: [makeCaseArch()] } as const],
  ])('with %s is as its schema says', async (_, content) => {
    const files = unzipSync(await writeCaseFile(content, OPTIONS));
    const validate = new Ajv2020({ strict: true, validateFormats: false, allowUnionTypes: true }).compile(
      schema,
    );
    expect(validate(JSON.parse(strFromU8(files['manifest.json']!))), JSON.stringify(validate.errors)).toBe(
      true,
    );
  });

  it('is written again as it was read', async () => {
    const { manifest } = await readCaseFile(await writeCaseFile(makeCaseContent(), OPTIONS), null);
    expect(readManifest(writeManifest(manifest))).toEqual(manifest);
  });
});
