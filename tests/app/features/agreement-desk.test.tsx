import { cleanup, screen } from '@solidjs/testing-library';
import { afterEach, expect, it } from 'vitest';
import { AgreementDesk } from '../../../src/app/features/agreement/AgreementDesk.tsx';
import { renderWithApp } from './harness.tsx';

afterEach(cleanup);

const file = (name: string) => ({ name, bytes: new Uint8Array([1]) });

it('warns beside the figures of tables that are copies, and does not where none are', async () => {
  const { state } = renderWithApp(() => <AgreementDesk />);
  state.agreement.add([file('a.csv'), file('b.csv')]);
  await screen.findByText('2 tables');
  expect(document.querySelector('.warning-line')).toBeNull();
  state.agreement.add([file('a.csv')]);
  await screen.findByText('3 tables');
  expect(document.querySelector('.warning-line')?.textContent).toBe('Alike.');
});
