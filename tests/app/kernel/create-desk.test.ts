import { createRoot } from 'solid-js';
import { describe, expect, it } from 'vitest';
import { createDesk } from '../../../src/app/kernel/create-desk.ts';

describe('createDesk', () => {
  it('begins with the case and shows what is asked for', () =>
    createRoot((end) => {
      const desk = createDesk();
      expect(desk.name()).toBe('case');
      desk.show('agreement');
      expect(desk.name()).toBe('agreement');
      end();
    }));
});
