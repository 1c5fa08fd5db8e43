import { describe, expect, it } from 'vitest';
import { cancelledError, inputError, namingFile } from '../../src/geometry/archgap-error.ts';

const refusal = inputError('NO_AREA', 'None of the triangles of the file has an area.', {
  details: { triangles: 3 },
});

describe('namingFile', () => {
  it('puts the name before a sentence that lacks it, and into the details', () => {
    const named = namingFile(refusal, 'upper.stl');
    expect(named).toMatchObject({
      code: 'NO_AREA',
      message: '"upper.stl": None of the triangles of the file has an area.',
      details: { file: 'upper.stl', triangles: 3 },
    });
    expect(namingFile(named, 'upper.stl')).toBe(named);
  });

  it('names a file whose name is a word of the sentence, too', () => {
    for (const name of ['file', 'a', 'the']) {
      const named = namingFile(refusal, name);
      expect(named).toMatchObject({ message: `"${name}": ${refusal.message}` });
      expect(namingFile(named, name)).toBe(named);
    }
  });

  it('leaves what is no refusal of a file as it is', () => {
    const [stopped, fault] = [cancelledError(), new Error('lost')];
    expect([namingFile(stopped, 'a.stl'), namingFile(fault, 'a.stl')]).toEqual([stopped, fault]);
  });
});
