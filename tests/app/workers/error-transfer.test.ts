import { expose, releaseProxy, wrap } from 'comlink';
import { afterEach, expect, it } from 'vitest';
import { ArchgapError, inputError } from '../../../src/geometry/archgap-error.ts';
import { installErrorTransfer } from '../../../workers/error-transfer-api.ts';

const ports: MessagePort[] = [];
afterEach(() => {
  for (const port of ports.splice(0)) port.close();
});

/** Both ends of a real message channel: whatever arrives has been structured-cloned. */
function across<T extends object>(service: T) {
  installErrorTransfer();
  const { port1, port2 } = new MessageChannel();
  ports.push(port1, port2);
  expose(service, port2);
  return wrap<T>(port1);
}

it('carries code, kind, sentence and details of a known error across', async () => {
  expect.assertions(6);
  const remote = across({
    read(): void {
      throw inputError('STL_TRUNCATED', 'The file ends early.', { details: { expected: 84, found: 12 } });
    },
  });
  const error = await remote.read().catch((thrown: unknown) => thrown);
  expect(error).toBeInstanceOf(ArchgapError);
  if (!(error instanceof ArchgapError)) return;
  expect(error.code).toBe('STL_TRUNCATED');
  expect(error.kind).toBe('input');
  expect(error.message).toBe('The file ends early.');
  expect(error.details).toEqual({ expected: 84, found: 12 });
  expect(error.stack).toContain('error-transfer.test.ts');
  remote[releaseProxy]();
});

it('tells an unforeseen exception as our own fault, with what was thrown', async () => {
  expect.assertions(3);
  const remote = across({
    async measure(): Promise<void> {
      throw new TypeError('x is not a function');
    },
  });
  const error = await remote.measure().catch((thrown: unknown) => thrown);
  expect(error).toBeInstanceOf(ArchgapError);
  expect(error).toMatchObject({ code: 'INTERNAL', kind: 'internal' });
  expect(error).toMatchObject({ details: { thrown: 'TypeError: x is not a function' } });
});

it('leaves results alone', async () => {
  expect.assertions(1);
  const remote = across({ add: (a: number, b: number) => a + b });
  expect(await remote.add(2, 3)).toBe(5);
});
