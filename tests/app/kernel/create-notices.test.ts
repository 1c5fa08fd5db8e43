import { describe, expect, it } from 'vitest';
import { createNotices } from '../../../src/app/kernel/create-notices.ts';

describe('createNotices', () => {
  it('says one sentence of the open case, the last one, until it is dismissed', () => {
    const { notice, tell, dismissNotice } = createNotices();
    expect(notice()).toBeNull();
    tell('Copied.');
    tell('Not copied.', 'failed');
    expect(notice()).toEqual({ kind: 'failed', sentence: 'Not copied.' });
    dismissNotice();
    expect(notice()).toBeNull();
  });

  it('keeps what failed with other cases through all that, each once, until each is dismissed', () => {
    const { lasting, tell, dismissNotice, tellLasting, dismissLasting } = createNotices();
    tellLasting('a.stl could not be kept.');
    tellLasting('b.stl could not be kept.');
    tellLasting('a.stl could not be kept.');
    tell('Copied.');
    dismissNotice();
    expect(lasting()).toEqual(['b.stl could not be kept.', 'a.stl could not be kept.']);
    dismissLasting('b.stl could not be kept.');
    expect(lasting()).toEqual(['a.stl could not be kept.']);
  });
});
