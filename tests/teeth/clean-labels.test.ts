import { describe, expect, it } from 'vitest';
import { type CleanableGraph, cleanLabels } from '../../src/teeth/clean-labels.ts';

/** A strip of n nodes in a row, each of 1 mm^2 unless told otherwise. */
function strip(n: number, area = 1): CleanableGraph {
  const rows = Array.from({ length: n }, (_, i) => [i - 1, i + 1].filter((j) => j >= 0 && j < n));
  const start = new Uint32Array(n + 1);
  rows.forEach((row, i) => {
    start[i + 1] = start[i]! + row.length;
  });
  const flat = rows.flat();
  return {
    nodeCount: n,
    start,
    target: Uint32Array.from(flat),
    lengthMm: new Float32Array(flat.length).fill(1),
    area: new Float32Array(n).fill(area),
  };
}

function cleaned(text: string, clicks: readonly number[], area = 1): string {
  const labels = Uint8Array.from(text, Number);
  const clicked = new Uint8Array(labels.length);
  for (const i of clicks) clicked[i] = 1;
  cleanLabels(strip(labels.length, area), labels, clicked);
  return [...labels].join('');
}

describe('cleanLabels', () => {
  it('keeps the pieces of a tooth that hold a click and gives the rest to the gum', () => {
    expect(cleaned('0000000111000000011000000', [8])).toBe('0000000111000000000000000');
    expect(cleaned('0000000111000000011000000', [8, 17])).toBe('0000000111000000011000000');
  });

  it('fills small gum islands from their neighbour, not large ones nor those with a gum click', () => {
    expect(cleaned('11100111', [0, 7])).toBe('11111111');
    expect(cleaned('11100111', [0, 7], 4)).toBe('11100111');
    expect(cleaned('11100111', [0, 7, 3])).toBe('11100111');
  });

  it('gives an island to the neighbour with the longest common border', () => {
    const graph = strip(5);
    const labels = Uint8Array.from([1, 1, 0, 2, 2]);
    // Arcs of node 2: to 1, to 3.
    graph.lengthMm[graph.start[2]! + 1] = 3;
    cleanLabels(graph, labels, Uint8Array.from([1, 0, 0, 0, 1]));
    expect([...labels]).toEqual([1, 1, 2, 2, 2]);
  });

  it('leaves an island without any neighbour alone', () => {
    expect(cleaned('000', [])).toBe('000');
  });
});
