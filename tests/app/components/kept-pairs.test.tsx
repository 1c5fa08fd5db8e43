import { cleanup, render } from '@solidjs/testing-library';
import { afterEach, expect, it } from 'vitest';
import { KeptPairs } from '../../../src/app/components/KeptPairs.tsx';

afterEach(cleanup);

it('keeps every pair of teeth in one piece and changes no word', () => {
  const sentence = '2 of 13 contacts are open: 14-13, 11-21 and UR1-UL1.';
  const { container } = render(() => <KeptPairs sentence={sentence} />);
  expect(container.textContent).toBe(sentence);
  const kept = [...container.querySelectorAll('.kept-pair')].map((one) => one.textContent);
  expect(kept).toEqual(['14-13,', '11-21', 'UR1-UL1.']);
});

it('leaves a sentence without pairs as it is', () => {
  const { container } = render(() => <KeptPairs sentence="None of the 13 contacts is measured open." />);
  expect(container.innerHTML).not.toContain('<span');
});
