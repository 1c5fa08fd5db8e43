import { cleanup } from '@solidjs/testing-library';
import { afterEach, expect, it } from 'vitest';
import { SizesPart } from '../../../src/app/features/contacts/SizesPart.tsx';
import { threeSpaces } from '../../helpers/make-analysis.ts';
import { renderWithApp } from './harness.tsx';

afterEach(cleanup);

it('lists sizes in the chosen numbers, indices with values, and reasons where there is none', () => {
  const { container, state } = renderWithApp(() => <SizesPart analysis={threeSpaces()} />);
  const [indices, sizes] = [...container.querySelectorAll('table')].map((table) =>
    [...table.querySelectorAll('tbody tr')].map((row) =>
      [...row.querySelectorAll('td')].map((cell) => cell.textContent),
    ),
  );
  expect(indices).toHaveLength(5);
  expect(indices).toContainEqual(['Sum of the measured spaces', '1.35 ± 0.07 mm', '']);
  expect(indices?.find(([name]) => name === 'Arch depth')?.[1]).toBe('–');
  expect(sizes).toHaveLength(14);
  expect(sizes?.[0]).toEqual(['17', '9.00', '11.00', '5.60']);
  state.preferences.setNumbering('universal');
  expect(container.querySelectorAll('table')[1]?.querySelector('tbody td')?.textContent).toBe('2');
});
