import { expect, it } from 'vitest';
import { clearVertices } from '../../src/contacts/clear-vertices.ts';
import { makePointGrid } from '../../src/geometry/point-grid.ts';

it('keeps, of the vertices asked for, those within reach of neither cloud', () => {
  const positions = Float32Array.from({ length: 30 }, (_, i) => (i % 3 === 0 ? i / 3 : 0));
  const gum = makePointGrid([0, 0, 0], 2.5);
  const web = makePointGrid([9, 0, 0], 1.5);
  const none = makePointGrid([], 1);
  const asked = Uint32Array.of(9, 7, 6, 3, 2, 1);
  expect([...clearVertices(positions, asked, gum, web)]).toEqual([7, 6, 3]);
  expect([...clearVertices(positions, asked, none, web)]).toEqual([7, 6, 3, 2, 1]);
  expect([...clearVertices(positions, asked, gum, none)]).toEqual([9, 7, 6, 3]);
});
