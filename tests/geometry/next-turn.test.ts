import { expect, it } from 'vitest';
import { nextTurn } from '../../src/geometry/next-turn.ts';

it('lets waiting messages through, which promises alone do not', async () => {
  const { port1, port2 } = new MessageChannel();
  let heard = false;
  port1.onmessage = () => {
    heard = true;
  };
  port2.postMessage(null);
  for (let k = 0; k < 100; k++) await Promise.resolve();
  expect(heard).toBe(false);
  for (let k = 0; k < 3 && !heard; k++) await nextTurn();
  expect(heard).toBe(true);
  port1.close();
});
