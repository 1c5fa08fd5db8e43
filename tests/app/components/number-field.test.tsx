import { cleanup, fireEvent, render, screen } from '@solidjs/testing-library';
import { createSignal } from 'solid-js';
import { afterEach, expect, it } from 'vitest';
import { NumberField } from '../../../src/app/components/NumberField.tsx';

afterEach(cleanup);

it('takes a number in range, refuses others with a sentence, and goes back to the last good one', () => {
  const [value, setValue] = createSignal(0.1);
  render(() => (
    <NumberField label="Limit" unit="mm" value={value()} min={0} max={1} step={0.01} onChange={setValue} />
  ));
  const input = screen.getByLabelText<HTMLInputElement>('Limit');
  fireEvent.change(input, { target: { value: '0.25' } });
  expect(value()).toBe(0.25);
  for (const wrong of ['3', '-1', '']) {
    fireEvent.change(input, { target: { value: wrong } });
    expect(value()).toBe(0.25);
    expect(screen.getByRole('alert').textContent).toBe('A number from 0 to 1; 0.25 stays.');
    expect(input.getAttribute('aria-invalid')).toBe('true');
  }
  fireEvent.blur(input);
  expect(input.value).toBe('0.25');
  expect(screen.queryByRole('alert')).toBeNull();
});
