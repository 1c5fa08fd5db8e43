import { createRoot } from 'solid-js';
import { describe, expect, it } from 'vitest';
import { emptyInputs, withPractice } from '../../../src/app/kernel/case-inputs.ts';
import { readStoredCase } from '../../../src/app/kernel/case-storage.ts';
import { createPractice } from '../../../src/app/kernel/create-practice.ts';
import { DEFAULT_PRACTICE, departures } from '../../../src/closure/practice.ts';

function device(content: Record<string, string> = {}) {
  const kept = new Map(Object.entries(content));
  return {
    kept,
    get: (key: string) => kept.get(key) ?? null,
    set: (key: string, value: string) => void kept.set(key, value),
  };
}
const create = (store: ReturnType<typeof device>) => createRoot(() => createPractice(store));

describe('preferences of the practice on the device', () => {
  it('start as the defaults, are kept as they change, and come back', () => {
    const store = device();
    const first = create(store);
    expect(first.practice()).toEqual(DEFAULT_PRACTICE);
    first.change({ maxStages: 2, noteAfter: 'Thank you.' });
    expect(create(store).practice()).toMatchObject({ maxStages: 2, noteAfter: 'Thank you.', limitMm: 0.1 });
  });

  it('go to another device as a file; a wrong file changes nothing', () => {
    const here = create(device());
    here.change({ spanRule: 'terminal-molars' });
    const there = create(device());
    there.take(here.exported());
    expect(there.practice().spanRule).toBe('terminal-molars');
    expect(() => there.take('{}')).toThrowError(/cannot be read/);
    expect(there.practice().spanRule).toBe('terminal-molars');
  });

  it('damage on the device is as good as nothing kept', () => {
    expect(create(device({ 'archgap.practice': '{"schema":1}' })).practice()).toEqual(DEFAULT_PRACTICE);
  });

  it('a new case starts with them; one that departs is brought back but for what is its own', () => {
    const practice = { ...DEFAULT_PRACTICE, maxStages: 2, limitMm: 0.05 };
    const fresh = emptyInputs(practice);
    const choices = (inputs: typeof fresh) => ({ ...inputs.closure, limitMm: inputs.limitMm });
    expect(departures(choices(fresh), practice)).toEqual([]);
    const own = { ...fresh, limitMm: 0.2, closure: { ...fresh.closure, moved: 'anterior' as const } };
    expect(departures(choices(own), practice).map((d) => d.setting)).toEqual(['limitMm']);
    const back = withPractice(own, practice);
    expect(departures(choices(back), practice)).toEqual([]);
    expect(back.closure.moved).toBe('anterior');
  });

  it('span rule and edited note lie in the stored case; older cases without them are read', () => {
    const stored = { version: 1, id: 'a', fileName: 'a.stl', demo: false, unit: null, savedAt: 1 } as const;
    const inputs = { ...emptyInputs(), note: { text: 'mine', basis: 'plan' } };
    expect(readStoredCase({ ...stored, inputs })?.arches[0].inputs).toEqual(inputs);
    const { spanRule: _, ...older } = emptyInputs().closure;
    expect(readStoredCase({ ...stored, inputs: { ...emptyInputs(), closure: older } })).not.toBeNull();
    expect(readStoredCase({ ...stored, inputs: { ...inputs, note: { text: 7 } } })).toBeNull();
  });
});
