import { cleanup, fireEvent, screen, waitFor } from '@solidjs/testing-library';
import { afterEach, describe, expect, it } from 'vitest';
import { ScannerBox } from '../../../src/app/features/contacts/ScannerBox.tsx';
import { SCANNER_TERMS, writeScannerProfile } from '../../../src/contacts/scanner-profile.ts';
import { UNCALIBRATED_SCANNER } from '../../../src/contacts/settings.ts';
import { renderWithApp } from './harness.tsx';

afterEach(cleanup);

const picker = (container: HTMLElement) => container.querySelector<HTMLInputElement>('input[type="file"]')!;
const give = (input: HTMLInputElement, text: string) => {
  const file = new File([text], 'scanner.json', { type: 'application/json' });
  Object.defineProperty(file, 'text', { value: async () => text });
  Object.defineProperty(input, 'files', { value: [file], configurable: true });
  fireEvent.change(input);
};

describe('the scanner box', () => {
  it('shows every term with its default and where that comes from', () => {
    const { container, state } = renderWithApp(() => <ScannerBox />);
    expect(state.preferences.scanner()).toBeNull();
    expect(container.querySelector('summary')?.textContent).toContain(UNCALIBRATED_SCANNER.name);
    for (const term of SCANNER_TERMS) {
      expect(Number(screen.getByLabelText<HTMLInputElement>(term.label).value)).toBe(term.defaultValue);
      expect(container.textContent).toContain(term.source);
    }
  });

  it('makes a profile of its own with the first change, and goes back to the assumptions', () => {
    const { state, container } = renderWithApp(() => <ScannerBox />);
    const field = screen.getByLabelText<HTMLInputElement>('Waviness and stitching, per wall');
    fireEvent.change(field, { target: { value: '0.009' } });
    expect(state.preferences.scanner()).toEqual({
      ...UNCALIBRATED_SCANNER,
      name: 'own terms',
      wavinessMm: 0.009,
    });
    fireEvent.change(screen.getByLabelText('Name'), { target: { value: 'chair 2' } });
    expect(state.preferences.scanner()?.name).toBe('chair 2');
    expect(container.querySelector('summary')?.textContent).toContain('chair 2');
    fireEvent.click(screen.getByRole('button', { name: 'Back to the assumptions' }));
    expect(state.preferences.scanner()).toBeNull();
    expect(Number(field.value)).toBe(UNCALIBRATED_SCANNER.wavinessMm);
  });

  it('takes a scanner file, and refuses another file with a sentence', async () => {
    const { container, state } = renderWithApp(() => <ScannerBox />);
    const own = {
      ...UNCALIBRATED_SCANNER,
      name: 'bench',
      systematicHalfWidthMm: 0.012,
      noiseAllowanceMm: 0.04,
    };
    give(picker(container), writeScannerProfile(own));
    await waitFor(() => expect(state.preferences.scanner()).toEqual(own));
    give(picker(container), '{"teeth":32}');
    await waitFor(() => expect(screen.getByRole('alert').textContent).toContain('scanner file is wrong'));
    expect(state.preferences.scanner()).toEqual(own);
  });

  it('says when the case came with other terms than those of this device, and takes them over', () => {
    const { container, state } = renderWithApp(() => <ScannerBox />);
    expect(container.textContent).not.toContain('kept with this case');
    state.controller.change((inputs) => ({
      ...inputs,
      scanner: { ...UNCALIBRATED_SCANNER, name: 'chair 2' },
    }));
    expect(container.querySelector('summary')?.textContent).toBe(
      `Scanner: chair 2, kept with this case; this device: ${UNCALIBRATED_SCANNER.name}`,
    );
    fireEvent.click(screen.getByRole('button', { name: 'Measure this case with those' }));
    expect(state.controller.scanner()).toBeNull();
    expect(container.textContent).not.toContain('kept with this case');
  });

  it('says where the terms were only taken over from the earlier scan, and takes the word that it is the same', () => {
    const { state } = renderWithApp(() => <ScannerBox />);
    const button = () => screen.queryByRole('button', { name: /made with “chair 2”, too/ });
    const scanner = { ...UNCALIBRATED_SCANNER, name: 'chair 2' };
    state.controller.change((inputs) => ({ ...inputs, scanner }));
    expect(button()).toBeNull();
    state.controller.change((inputs) => ({ ...inputs, scannerTakenOver: true }));
    fireEvent.click(button()!);
    expect([state.controller.scanner(), state.controller.scannerTakenOver()]).toEqual([scanner, false]);
    expect(button()).toBeNull();
  });
});
