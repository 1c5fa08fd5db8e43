import { joined, text } from '../helpers/scan-files.ts';

/** Numbers and words that break readers. */
const TOKENS = [
  '-1',
  '0',
  '4294967295',
  '4294967296',
  '18446744073709551616',
  '1e999',
  'nan',
  '-inf',
  '1.#QNAN',
  '',
  ' ',
  '\n',
  '\r\n',
  '\0',
  'list',
  'float',
  'double',
  'uchar',
  'char',
  'end_header',
  'element face 3',
  'property list uchar int vertex_indices',
  'endsolid',
  'solid',
  'facet',
  'vertex',
  'ply',
  '0x7f',
  '1,5',
  '255',
  '256',
  '3',
  '4',
  '\ufeff',
  'PK\x03\x04',
  'null',
  '[]',
  '{}',
  '-0',
  '1e308',
  '5e-324',
  '"__proto__":{"x":1},',
  '"constructor"',
  '\\u0000',
  '"',
  ',',
  ';',
  '\t',
  '../',
  '=1+1',
  '9'.repeat(400),
];

/**
 * One to four random changes of a file: cut, dropped, doubled or exchanged pieces, hostile words, flipped bits.
 *
 * @param random - whole numbers from 0 to below the argument
 */
export function mutate(bytes: Uint8Array, random: (below: number) => number): Uint8Array {
  let mutant = bytes;
  for (let round = 0; round <= random(4); round++) {
    const at = random(mutant.length + 1);
    const length = random(Math.min(40, mutant.length - at + 1));
    const [head, tail] = [mutant.subarray(0, at), mutant.subarray(at)];
    const kind = random(8);
    if (kind === 0) mutant = head.slice();
    else if (kind === 1) mutant = joined(head, tail.subarray(length));
    else if (kind === 2)
      mutant = joined(head, mutant.subarray(random(mutant.length + 1)).subarray(0, length), tail);
    else if (kind === 3)
      mutant = joined(head, text(TOKENS[random(TOKENS.length)]!), tail.subarray(random(2) * length));
    else if (kind === 4) mutant = replaceNumber(mutant, random);
    else {
      mutant = mutant.slice();
      for (let i = 0; i <= random(3); i++) {
        const place = random(Math.max(1, mutant.length));
        if (kind === 5) mutant[place] = random(256);
        else if (kind === 6) mutant[place] = (mutant[place] ?? 0) ^ (1 << random(8));
        else mutant.fill([0, 0x7f, 0x80, 0xff][random(4)]!, place, place + 1 + random(4));
      }
    }
  }
  return mutant;
}

/** Longest piece that is searched for digits: a file of megabytes is not turned into one string. */
const DIGITS_WINDOW = 4096;

/** Exchanges one run of digits for a hostile token. */
function replaceNumber(bytes: Uint8Array, random: (below: number) => number): Uint8Array {
  const from = bytes.length <= DIGITS_WINDOW ? 0 : random(bytes.length - DIGITS_WINDOW);
  const window = bytes.subarray(from, from + DIGITS_WINDOW);
  const latin = Array.from(window, (byte) => String.fromCharCode(byte)).join('');
  const runs = [...latin.matchAll(/\d+/g)];
  if (runs.length === 0) return bytes;
  const run = runs[random(runs.length)]!;
  const [start, end] = [from + run.index, from + run.index + run[0].length];
  return joined(bytes.subarray(0, start), text(TOKENS[random(TOKENS.length)]!), bytes.subarray(end));
}
