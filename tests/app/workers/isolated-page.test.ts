// @vitest-environment node
import { readFileSync } from 'node:fs';
import { afterEach, expect, it, vi } from 'vitest';
import { isShared } from '../../../src/geometry/shared-array.ts';
import { vertexNormals } from '../../../src/geometry/triangle-geometry.ts';
import { makeAnalysisService } from '../../../workers/analysis-service.ts';

const DEMO = new URL('../../../public/demo/', import.meta.url);
const bytes = new Uint8Array(readFileSync(new URL('demo-arch.ply', DEMO)));
const clickText = readFileSync(new URL('demo-clicks.json', DEMO), 'utf8');

const ports: MessagePort[] = [];
afterEach(() => {
  vi.unstubAllGlobals();
  for (const port of ports.splice(0)) port.close();
});
function job(): MessagePort {
  const { port1, port2 } = new MessageChannel();
  ports.push(port1, port2);
  return port2;
}

async function measured() {
  const service = makeAnalysisService((reply) => reply);
  const opened = await service.openScan(bytes.slice(), { fileName: 'demo-arch.ply', unit: null }, job());
  const clicks = await service.readClicks(opened.scanId, clickText);
  await service.segment(opened.scanId, clicks, job());
  const measure = async () =>
    (await service.measure(opened.scanId, clicks, { limitMm: 0.1 }, job())).analysis;
  return { opened, analyses: [await measure(), await measure()] };
}

it('measures with the normals that the page draws with, leaves them alone, and finds the same', async () => {
  const [plain] = (await measured()).analyses;
  vi.stubGlobal('crossOriginIsolated', true);
  const { opened, analyses } = await measured();
  expect(isShared(opened.normals)).toBe(true);
  const { positions, triangles, normals } = opened;
  expect([...normals]).toEqual([...vertexNormals({ positions, triangles })]);
  expect(plain!.contacts.length).toBeGreaterThan(10);
  // And the second time, when the first one has given back what was its own.
  expect(analyses).toEqual([plain, plain]);
});
