import { expect, test } from 'vitest';
import { IndexList } from '../../src/geometry/index-list.ts';

test('holds what was pushed, in order, however often it grew', () => {
  const list = new IndexList();
  const wanted = Array.from({ length: 1000 }, (_, i) => (i % 2 === 0 ? i : -i) * 1_000_003);
  for (const value of wanted) list.push(value);
  expect(list.length).toBe(1000);
  expect([...list.toArray()]).toEqual(wanted);
});

test('takes off the last one first', () => {
  const list = new IndexList();
  for (const value of [4, 5, 6]) list.push(value);
  expect([list.pop(), list.pop()]).toEqual([6, 5]);
  list.push(9);
  expect([...list.toArray()]).toEqual([4, 9]);
});

test('the copy is a copy', () => {
  const list = new IndexList();
  list.push(7);
  const copy = list.toArray();
  list.push(8);
  list.values[0] = 9;
  expect([...copy]).toEqual([7]);
});

test('is empty and can be filled again after its memory was given back', () => {
  const list = new IndexList();
  for (let i = 0; i < 500; i++) list.push(i);
  list.letGo();
  expect(list.length).toBe(0);
  list.push(3);
  expect([...list.toArray()]).toEqual([3]);
});
