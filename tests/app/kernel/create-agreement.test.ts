import { createRoot } from 'solid-js';
import { describe, expect, it } from 'vitest';
import { createAgreement } from '../../../src/app/kernel/create-agreement.ts';
import { inputError } from '../../../src/geometry/archgap-error.ts';
import { makeFakeClient } from './fake-client.ts';

const file = (name: string) => ({ name, bytes: new Uint8Array([1]) });
const settle = () => new Promise((resolve) => setTimeout(resolve, 5));

describe('createAgreement', () => {
  it('compares as soon as tables or columns change, and lets go of figures that no longer hold', async () => {
    const client = makeFakeClient();
    const agreement = createRoot(() => createAgreement(client, '0.0.0'));
    agreement.add([file('a.csv'), file('b.csv')]);
    await settle();
    expect(agreement.reply()?.headline).toBe('2 tables');
    agreement.setColumns({ value: 'height_mm', target: ' id , tooth_a ', by: '' });
    expect(agreement.reply()).toBeNull();
    await settle();
    expect(agreement.reply()).toMatchObject({
      valueColumn: 'height_mm',
      targetColumns: ['id', 'tooth_a'],
      occasionColumns: ['table'],
    });
    client.failNext('assessAgreement', inputError('AGREEMENT_ONE_OCCASION', 'One occasion only.'));
    agreement.remove(1);
    await settle();
    const state = agreement.job.state();
    expect(state.kind === 'failed' && state.error.message).toBe('One occasion only.');
    expect(agreement.reply()).toBeNull();
    agreement.remove(0);
    await settle();
    expect(agreement.job.state().kind).toBe('idle');
  });
});
