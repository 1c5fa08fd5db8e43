import Papa from 'papaparse';
import { expect, it } from 'vitest';
import { TEETH_COLUMNS, writeTeethCsv } from '../../src/report/teeth-csv.ts';
import { makeAnalysis } from '../helpers/make-analysis.ts';

const rowsOf = (csv: string) => Papa.parse<Record<string, string>>(csv.trimEnd(), { header: true });

it('has a row per tooth from the patient’s right to left, places in file coordinates, empty cells without numbers', () => {
  const plain = makeAnalysis({ originMm: [100, 0, 0], fixed: [16] });
  const [first, ...others] = plain.teeth;
  const refined = {
    ...first!,
    sizesU95Mm: { mesiodistal: 0.14, buccolingual: 0.2, crownHeight: null },
    marks: { right: [1, 2, 3], left: [4, 5, 6], rightSeen: true, leftSeen: false, cusp: null },
  } as const;
  const { data, meta } = rowsOf(writeTeethCsv({ ...plain, teeth: [refined, ...others] }));
  expect(meta.fields).toEqual([...TEETH_COLUMNS]);
  expect(data.map((row) => row.tooth)).toEqual(plain.teeth.map(({ tooth }) => String(tooth)));
  expect(data[0]).toMatchObject({
    scan: 'demo-arch.ply',
    jaw: 'upper',
    tooth: '17',
    mesiodistal_mm: '9',
    mesiodistal_u95_mm: '0.14',
    crown_height_u95_mm: '',
    fixed: 'no',
    right_x: '101',
    left_z: '6',
  });
  expect(data[1]).toMatchObject({
    tooth: '16',
    fixed: 'yes',
    mesiodistal_u95_mm: '',
    right_x: '',
    left_y: '',
  });
});

it('names the file of each crown when they are separate', () => {
  const plain = makeAnalysis({ teeth: [11, 21] });
  const [source] = plain.sources;
  const sources = ['11.stl', '21.stl'].map((fileName) => ({ ...source!, fileName }));
  const { data } = rowsOf(writeTeethCsv({ ...plain, kind: 'crowns', sources }));
  expect(data.map((row) => row.scan)).toEqual(['11.stl', '21.stl']);
});
