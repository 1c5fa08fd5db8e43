// @vitest-environment node
import { afterEach, expect, it, vi } from 'vitest';
import { rejectionsAreErrors } from '../../../src/app/view/rejections-are-errors.ts';

afterEach(() => {
  vi.unstubAllGlobals();
});

it('throws what nobody waited for, which is what a worker tells the page', () => {
  const heard = new Map<string, (event: { reason: unknown }) => void>();
  vi.stubGlobal('self', { addEventListener: heard.set.bind(heard) });
  rejectionsAreErrors();
  const reason = new RangeError('no room for the arrays');
  expect(() => heard.get('unhandledrejection')!({ reason })).toThrow(reason);
});
