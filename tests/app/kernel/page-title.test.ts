import { expect, it } from 'vitest';
import { pageTitle } from '../../../src/app/kernel/page-title.ts';

it('names scan and jaw, so that tabs of two arches can be told apart', () => {
  expect(pageTitle('scan.ply', 'upper')).toBe('scan.ply, upper jaw · Archgap');
  expect(pageTitle('scan.ply', 'lower')).not.toBe(pageTitle('scan.ply', 'upper'));
  expect(pageTitle('scan.ply', null)).toBe('scan.ply · Archgap');
  expect(pageTitle(null, null)).toBe('Archgap');
});
