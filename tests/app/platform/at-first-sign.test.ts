import { expect, it, vi } from 'vitest';
import { atFirstSign } from '../../../src/app/platform/at-first-sign.ts';

it.each(['pointermove', 'pointerdown', 'keydown', 'dragenter'])('acts once, at the first %s', (sign) => {
  const act = vi.fn();
  atFirstSign(act);
  expect(act).not.toHaveBeenCalled();
  window.dispatchEvent(new Event(sign));
  window.dispatchEvent(new Event(sign));
  window.dispatchEvent(new Event('keydown'));
  expect(act).toHaveBeenCalledTimes(1);
});
