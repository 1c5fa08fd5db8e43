import { createRoot } from 'solid-js';
import { expect, test } from 'vitest';
import { groupName } from '../../../src/app/components/group-name.ts';

const named = () => createRoot((dispose) => ({ name: groupName(), dispose }));

test('living groups never share a name, and names of groups that are gone are used again', () => {
  const first = [named(), named(), named()];
  expect(new Set(first.map(({ name }) => name)).size).toBe(3);
  first[1]!.dispose();
  const next = [named(), named()];
  expect(next.map(({ name }) => name)).toContain(first[1]!.name);
  const living = [first[0]!, first[2]!, ...next];
  expect(new Set(living.map(({ name }) => name)).size).toBe(4);
  const seen = new Set<string>();
  for (let round = 0; round < 50; round++) {
    const group = named();
    seen.add(group.name);
    group.dispose();
  }
  expect(seen.size).toBe(1);
});
