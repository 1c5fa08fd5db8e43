import { expect, test } from 'vitest';
import { sha256 } from '../../src/scan/sha256.ts';
import { text } from '../helpers/scan-files.ts';

// Examples of FIPS 180-4 as published by NIST ("SHA256.pdf": "abc" and the 56-byte message) and the empty message.
test.each([
  ['', 'e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855'],
  ['abc', 'ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad'],
  [
    'abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq',
    '248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1',
  ],
])('the published digest of "%s"', async (message, digest) => {
  expect(await sha256(text(message))).toBe(digest);
});

test('a view into a larger buffer is fingerprinted alone', async () => {
  const bytes = text('xxabcxx').subarray(2, 5);
  expect(await sha256(bytes)).toBe(await sha256(text('abc')));
});
