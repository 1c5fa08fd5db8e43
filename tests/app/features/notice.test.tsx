import { cleanup, fireEvent, screen } from '@solidjs/testing-library';
import { afterEach, expect, it } from 'vitest';
import { Notice } from '../../../src/app/features/frame/Notice.tsx';
import { renderWithApp } from './harness.tsx';

afterEach(cleanup);

it('what failed with a closed case stays in sight, whatever is opened and said, until it is dismissed', async () => {
  const { state } = renderWithApp(() => <Notice />);
  const { controller } = state;
  controller.tellLasting('a.stl was closed, but this device could not keep it.');
  controller.tellLasting('b.stl was closed, but this device could not keep it.');
  controller.tell('There is no room left on this device.', 'failed');
  const alerts = () => screen.queryAllByRole('alert').map((alert) => alert.textContent?.slice(0, 5));
  expect(alerts()).toEqual(['a.stl', 'b.stl', 'There']);
  await controller.openDemo();
  expect(controller.open()).not.toBeNull();
  expect(alerts()).toEqual(['a.stl', 'b.stl']);
  fireEvent.click(screen.getAllByRole('button', { name: 'Dismiss' })[0]!);
  expect(alerts()).toEqual(['b.stl']);
});
