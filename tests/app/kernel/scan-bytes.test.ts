// @vitest-environment node
import { describe, expect, it, vi } from 'vitest';
import { emptyInputs } from '../../../src/app/kernel/case-inputs.ts';
import {
  bytesInFile,
  bytesInMemory,
  bytesOnDevice,
  contentKept,
  contentRead,
} from '../../../src/app/kernel/scan-bytes.ts';

const BYTES = [1, 2, 3];
const file = () => new Uint8Array(BYTES);

describe('the file of a scan', () => {
  it('is read from memory into arrays of the reader, as often as it is asked for', async () => {
    const bytes = bytesInMemory(file());
    const first = await bytes.read();
    first.fill(0);
    expect(await bytes.read()).toEqual(file());
  });

  it('is read from the device once it was moved there, and kept in memory again when it is held', async () => {
    const fromDevice = vi.fn(async () => file());
    const bytes = bytesInMemory(file());
    bytes.movedToDevice(fromDevice);
    expect(await bytes.read()).toEqual(file());
    expect(fromDevice).toHaveBeenCalledTimes(1);
    expect(await bytes.hold()).toEqual(file());
    expect(await bytes.read()).toEqual(file());
    expect(await bytes.hold()).toEqual(file());
    expect(fromDevice).toHaveBeenCalledTimes(2);
  });

  it('is read whole by who began before it was moved to the device', async () => {
    const long = new Uint8Array(9_000_000).fill(7);
    const bytes = bytesInMemory(long.slice());
    const read = bytes.read();
    bytes.movedToDevice(async () => null);
    expect(Buffer.compare(await read, long)).toBe(0);
  });

  it('is given to the first reader as it was just read from the device, then read again', async () => {
    const fromDevice = vi.fn(async () => file());
    const bytes = bytesOnDevice(fromDevice, file());
    const first = await bytes.read();
    first.fill(0);
    expect(fromDevice).not.toHaveBeenCalled();
    expect(await bytes.read()).toEqual(file());
    expect(fromDevice).toHaveBeenCalledTimes(1);
  });

  it('is for the worker to read while nobody has, else an array of the worker’s own', async () => {
    const unread = new Blob([file()]);
    const bytes = bytesInFile(unread);
    expect(await bytes.handOver()).toBe(unread);
    bytes.broughtBack(file());
    const handed = await bytes.handOver();
    expect(handed).toEqual(file());
    (handed as Uint8Array).fill(0);
    expect(await bytes.hold()).toEqual(file());
    bytes.movedToDevice(async () => file());
    expect(await bytes.handOver()).toEqual(file());
  });

  it('does not take back into memory what the device or the page has', async () => {
    const onDevice = bytesInFile(new Blob([file()]));
    onDevice.movedToDevice(async () => new Uint8Array([4]));
    onDevice.broughtBack(file());
    expect(await onDevice.read()).toEqual(new Uint8Array([4]));
    const held = bytesInMemory(file());
    held.broughtBack(new Uint8Array([4]));
    expect(await held.read()).toEqual(file());
  });

  it('refuses a file of the user that was changed or taken away before anybody read it', async () => {
    const gone = Object.assign(new Blob([file()]), {
      arrayBuffer: () => Promise.reject(new DOMException('It was moved.', 'NotReadableError')),
    });
    await expect(bytesInFile(gone).read()).rejects.toMatchObject({ code: 'FILE_UNREADABLE', kind: 'input' });
    await expect(bytesInFile(gone).hold()).rejects.toMatchObject({ code: 'FILE_UNREADABLE' });
  });

  it('does not say of a file that is too large that it was changed', async () => {
    const huge = Object.defineProperty(new Blob([file()]), 'size', { value: 2 ** 31 });
    await expect(bytesInFile(huge).read()).rejects.toMatchObject({ code: 'FILE_TOO_LARGE', kind: 'input' });
  });

  it('refuses by name when the device no longer has it, or cannot be read', async () => {
    const cleared = bytesOnDevice(async () => null, null);
    await expect(cleared.read()).rejects.toMatchObject({ code: 'SCAN_GONE', kind: 'input' });
    await expect(cleared.hold()).rejects.toMatchObject({ code: 'SCAN_GONE' });
    const broken = bytesOnDevice(() => Promise.reject(new Error('The disk is gone.')), null);
    await expect(broken.read()).rejects.toMatchObject({
      code: 'SCAN_GONE',
      details: { reason: 'The disk is gone.' },
    });
  });
});

describe('a case', () => {
  const scan = (bytes: Uint8Array) => ({
    fileName: 'a.stl',
    bytes,
    unit: null,
    originMm: null,
    inputs: emptyInputs(),
  });

  it('keeps one object for one file, and is read back as it came', async () => {
    const one = file();
    const kept = contentKept({
      demo: false,
      arches: [{ ...scan(one), earlier: [scan(new Uint8Array([9])), scan(one)] }, scan(one)],
    });
    const [first, second] = kept.arches;
    expect(first.bytes).toBe(second?.bytes);
    expect(first.bytes).toBe(first.earlier?.[1]?.bytes);
    expect(await contentRead(kept)).toEqual({
      demo: false,
      arches: [{ ...scan(file()), earlier: [scan(new Uint8Array([9])), scan(file())] }, scan(file())],
    });
  });
});
