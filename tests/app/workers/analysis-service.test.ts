// @vitest-environment node
import { readFileSync } from 'node:fs';
import { afterEach, beforeAll, describe, expect, it } from 'vitest';
import { writeBinaryStl } from '../../../fixtures/write-stl.ts';
import { DEFAULT_CLOSURE_SETTINGS } from '../../../src/closure/settings.ts';
import type { Vec3 } from '../../../src/geometry/types.ts';
import { add, dot, scale, vertexAt } from '../../../src/geometry/vec3.ts';
import { readScan } from '../../../src/scan/read-scan.ts';
import type { ClickSet } from '../../../src/teeth/types.ts';
import type { AnalysisApi, OpenReply, RecordFileKind } from '../../../workers/analysis-api.ts';
import { makeAnalysisService } from '../../../workers/analysis-service.ts';

const DEMO = new URL('../../../public/demo/', import.meta.url);
const bytes = new Uint8Array(readFileSync(new URL('demo-arch.ply', DEMO)));
const clickText = readFileSync(new URL('demo-clicks.json', DEMO), 'utf8');
const SETTINGS = { limitMm: 0.1 };

const ports: MessagePort[] = [];
afterEach(() => {
  for (const port of ports.splice(0)) port.close();
});
function job(): MessagePort {
  const { port1, port2 } = new MessageChannel();
  ports.push(port1, port2);
  return port2;
}

/** Share of faces with a label in both among those with it in either. */
function overlap(a: Uint8Array, b: Uint8Array, label: number): number {
  const both = a.filter((value, f) => value === label && b[f] === label).length;
  const either = a.filter((value, f) => value === label || b[f] === label).length;
  return both / either;
}

const transferred: number[] = [];
const makeService = () =>
  makeAnalysisService((reply, buffers) => {
    transferred.push(buffers.length);
    return reply;
  });

/** The demo arch mirrored in a plane across its highest crowns: it faces them, and lies on them crown by crown. */
async function mirroredAtTops(up: Vec3): Promise<Uint8Array<ArrayBuffer>> {
  const { positions, triangles } = await readScan(bytes.slice(), { fileName: 'demo-arch.ply', unit: null });
  const heights = Array.from({ length: positions.length / 3 }, (_, v) => dot(vertexAt(positions, v), up));
  const topMm = heights.reduce((most, height) => Math.max(most, height));
  const mirrored = new Float32Array(positions.length);
  for (const [v, height] of heights.entries()) {
    mirrored.set(add(vertexAt(positions, v), scale(up, 2 * (topMm - height))), 3 * v);
  }
  const turned = triangles.map((_, i) => triangles[i % 3 === 0 ? i : 3 * Math.floor(i / 3) + 3 - (i % 3)]!);
  return writeBinaryStl({ positions: mirrored, triangles: turned }).slice();
}

let service: AnalysisApi;
let opened: OpenReply;
let scanId: string;
let clicks: ClickSet;
/** A second one with the same scan, for what must not disturb the first. */
let other: AnalysisApi;
let otherId: string;

beforeAll(async () => {
  service = makeService();
  opened = await service.openScan(bytes.slice(), { fileName: 'demo-arch.ply', unit: null }, job());
  scanId = opened.scanId;
  clicks = await service.readClicks(scanId, clickText);
  other = makeService();
  otherId = (await other.openScan(bytes.slice(), { fileName: 'demo-arch.ply', unit: null }, job())).scanId;
});

/** A PLY file of the same mesh that is not the same byte for byte. */
function savedAgain(bytes: Uint8Array): Uint8Array {
  const first = 'ply\n'.length;
  return Buffer.concat([
    bytes.subarray(0, first),
    Buffer.from('comment saved again\n'),
    bytes.subarray(first),
  ]);
}

describe('the analysis service', () => {
  it('answers the same in the midst of its rehearsal, which ends with the first call', async () => {
    const warm = makeAnalysisService((reply) => reply, true);
    await new Promise((resolve) => setTimeout(resolve, 30));
    const reply = await warm.openScan(bytes.slice(), { fileName: 'demo-arch.ply', unit: null }, job());
    expect(reply.facts).toEqual(opened.facts);
    const first = { ...clicks, clicks: clicks.clicks.slice(0, 1) };
    const drafted = await warm.draft(reply.scanId, first);
    expect(drafted!.labels).toEqual((await service.draft(scanId, first))!.labels);
  });

  it('opens a scan with facts and arrays to draw', async () => {
    const { facts, positions, normals, triangles, colors } = opened;
    expect(facts.source.unit).toMatchObject({ unit: 'mm', sure: true });
    expect(triangles).toHaveLength(3 * facts.health.triangles);
    expect(normals).toHaveLength(positions.length);
    expect(colors).toHaveLength(positions.length);
    expect(transferred[0]).toBe(4);
  });

  it('names scans differently in every worker, so that an old name never means a new scan', () => {
    expect(otherId).not.toBe(scanId);
  });

  it('proposes the other teeth from three clicks, near where they were clicked', async () => {
    const three = { ...clicks, clicks: clicks.clicks.slice(0, 3) };
    const { proposals, questions } = await service.proposeClicks(scanId, three);
    expect(proposals.map((proposal) => proposal.tooth)).toEqual(
      clicks.clicks.slice(3).map((click) => click.tooth),
    );
    expect(questions).toEqual([]);
    proposals.forEach(({ point }, k) => {
      const clicked = clicks.clicks[k + 3]!.point;
      expect(Math.hypot(...point.map((v, i) => v - clicked[i]!))).toBeLessThan(3.5);
    });
  });

  it('reads a file of the user itself, says the same of it, and gives back what it read', async () => {
    const file = { fileName: 'demo-arch.ply', unit: null };
    const given = await makeService().openScan(new Blob([bytes]), file, job());
    const { scanId: _, file: read, ...reply } = given;
    const { scanId: __, ...expected } = opened;
    expect({ ...reply, file: null }).toEqual(expected);
    expect(Buffer.compare(read!, bytes)).toBe(0);
    expect(transferred.at(-1)).toBe(transferred[0]! + 1);
    const gone = Object.assign(new Blob([bytes]), {
      arrayBuffer: () => Promise.reject(new DOMException('It was moved.', 'NotReadableError')),
    });
    for (const read of [
      service.openScan(gone, file, job()),
      service.openOpposing(scanId, gone, file, job()),
    ]) {
      await expect(read).rejects.toMatchObject({ code: 'FILE_UNREADABLE', kind: 'input' });
      await expect(read).rejects.toThrow('demo-arch.ply');
    }
  });

  it('keeps the open scan when another file cannot be read', async () => {
    const bad = service.openScan(new Uint8Array(10), { fileName: 'bad.stl', unit: null }, job());
    await expect(bad).rejects.toMatchObject({ kind: 'input' });
    await expect(service.segment(scanId, clicks, job())).resolves.toMatchObject({ warnings: [] });
  });

  it('needs labels before measuring and an analysis before cutting', async () => {
    await expect(other.measure(otherId, clicks, SETTINGS, job())).rejects.toMatchObject({
      code: 'NO_LABELS',
    });
    await expect(other.section(otherId, 11, 21)).rejects.toMatchObject({ code: 'NO_SECTION' });
  });

  it('goes from clicks to plan, sections and every file of the record', async () => {
    await service.segment(scanId, clicks, job());
    const { analysis } = await service.measure(scanId, clicks, SETTINGS, job());
    expect(analysis.contacts).toHaveLength(13);
    const open = analysis.contacts.filter((contact) => contact.status === 'open');
    expect(open.length).toBeGreaterThan(0);
    for (const { toothA, toothB } of open) {
      const profile = await service.section(scanId, toothA, toothB);
      expect(profile).toMatchObject({ toothA, toothB });
      expect(profile.linesA.length).toBeGreaterThan(0);
      expect(profile.linesB.length).toBeGreaterThan(0);
    }
    const plan = await service.plan(analysis, DEFAULT_CLOSURE_SETTINGS);
    expect(plan.spans.length).toBeGreaterThan(0);

    const request = {
      clicks,
      analysis,
      plan,
      numbering: 'iso',
      version: '0.0.0',
      createdAt: '2026-01-05T10:00:00Z',
    } as const;
    const kinds: RecordFileKind[] = [
      'contacts-csv',
      'teeth-csv',
      'result-json',
      'labelled-ply',
      'report-html',
      'plan-json',
      'plan-csv',
      'note-txt',
      'clicks-json',
    ];
    const starts: Record<string, string> = {};
    for (const kind of kinds) {
      const file = await service.writeFile(scanId, { ...request, kind });
      starts[file.fileName] = new TextDecoder().decode(file.bytes.slice(0, 40)).trimStart();
    }
    expect(Object.keys(starts)).toEqual([
      'contacts.csv',
      'teeth.csv',
      'result.json',
      'labelled.ply',
      'report.html',
      'plan.json',
      'plan.csv',
      'note.txt',
      'clicks.json',
    ]);
    expect(starts['contacts.csv']).toMatch(/^scan,jaw,tooth_a,tooth_b,status/);
    expect(starts['labelled.ply']).toMatch(/^ply\nformat binary_little_endian/);
    expect(starts['report.html']).toMatch(/^<!doctype html>/i);
    for (const name of ['result.json', 'plan.json', 'clicks.json']) expect(starts[name]).toMatch(/^\{/);
    await expect(
      service.writeFile(scanId, { ...request, plan: null, kind: 'note-txt' }),
    ).rejects.toMatchObject({
      code: 'NO_PLAN',
    });
  });

  it('reads back the click file that it wrote', async () => {
    const { analysis } = await service.measure(scanId, clicks, SETTINGS, job());
    const file = await service.writeFile(scanId, {
      kind: 'clicks-json',
      clicks,
      analysis,
      plan: null,
      numbering: 'iso',
      version: '0.0.0',
      createdAt: '2026-01-05T10:00:00Z',
    });
    const read = await service.readClicks(scanId, new TextDecoder().decode(file.bytes));
    expect(read.clicks.map((click) => click.tooth)).toEqual(clicks.clicks.map((click) => click.tooth));
    for (const [i, click] of read.clicks.entries()) {
      for (const axis of [0, 1, 2] as const)
        expect(click.point[axis]).toBeCloseTo(clicks.clicks[i]!.point[axis], 4);
    }
  });

  it('measures the same whether the teeth were clicked one by one or all at once', async () => {
    const whole = makeService();
    const { scanId: id } = await whole.openScan(
      bytes.slice(),
      { fileName: 'demo-arch.ply', unit: null },
      job(),
    );
    await whole.segment(id, clicks, job());
    const expected = await whole.measure(id, clicks, SETTINGS, job());
    expect(expected.settled).toBeNull();

    await service.segment(scanId, { ...clicks, clicks: clicks.clicks.slice(0, 1) }, job());
    for (let n = 2; n <= clicks.clicks.length; n++) {
      await service.segment(scanId, { ...clicks, clicks: clicks.clicks.slice(0, n) }, job());
    }
    const actual = await service.measure(scanId, clicks, SETTINGS, job());
    expect(actual.settled?.labels).toHaveLength(expected.analysis.health?.triangles ?? -1);
    expect(actual.analysis.contacts).toEqual(expected.analysis.contacts);

    // A click taken away and made again is solved of all clicks each time: there is nothing to settle.
    await service.segment(scanId, { ...clicks, clicks: clicks.clicks.toSpliced(3, 1) }, job());
    await service.segment(scanId, clicks, job());
    const again = await service.measure(scanId, clicks, SETTINGS, job());
    expect(again).toEqual({ analysis: expected.analysis, settled: null });
  });

  it('drafts an answer that the settled labels do not depend on', async () => {
    const plain = makeService();
    const drafting = makeService();
    const file = { fileName: 'demo-arch.ply', unit: null };
    const a = (await plain.openScan(bytes.slice(), file, job())).scanId;
    const b = (await drafting.openScan(bytes.slice(), file, job())).scanId;
    for (const n of [1, 2, 3]) {
      const part = { ...clicks, clicks: clicks.clicks.slice(0, n) };
      const draft = await drafting.draft(b, part);
      const settled = await drafting.segment(b, part, job());
      expect(settled).toEqual(await plain.segment(a, part, job()));
      const tooth = part.clicks[n - 1]!.tooth as number;
      expect(overlap(draft!.labels, settled.labels, tooth)).toBeGreaterThan(0.9);
    }
    const moved = { ...clicks, clicks: clicks.clicks.slice(1, 3) };
    expect(await drafting.draft(b, moved)).toBeNull();
  });

  it('stops telling teeth apart for a newer click and remembers nothing of it', async () => {
    const fresh = makeService();
    const { scanId: id } = await fresh.openScan(
      bytes.slice(),
      { fileName: 'demo-arch.ply', unit: null },
      job(),
    );
    const { port1, port2 } = new MessageChannel();
    ports.push(port1, port2);
    port1.postMessage('cancel');
    await expect(fresh.segment(id, clicks, port2)).rejects.toMatchObject({ code: 'CANCELLED' });
    await expect(fresh.measure(id, clicks, SETTINGS, job())).rejects.toMatchObject({ code: 'NO_LABELS' });
    const draft = await fresh.draft(id, clicks);
    const settled = await fresh.segment(id, clicks, job());
    for (const { tooth } of clicks.clicks) {
      expect(overlap(draft!.labels, settled.labels, tooth as number)).toBeGreaterThan(0.85);
    }
  });

  it('does not know a scan that was closed', async () => {
    await other.close(otherId);
    await expect(other.segment(otherId, clicks, job())).rejects.toMatchObject({ code: 'NO_SCAN' });
  });

  it('completes a plan on the moved crowns, and against an opposing arch while it keeps one', async () => {
    await service.segment(scanId, clicks, job());
    const { analysis } = await service.measure(scanId, clicks, SETTINGS, job());
    const settings = { ...DEFAULT_CLOSURE_SETTINGS, limitMm: analysis.settings.limitMm };
    const plain = await service.completePlan(scanId, analysis, settings, null, job());
    expect(plain.surfaceCheck?.met).toBe(true);
    expect(plain.surfaceCheck?.measured.length).toBeGreaterThan(0);
    expect(plain.sensitivity?.draws).toBe(200);
    expect(plain.room).toBeUndefined();
    const about = { fileName: 'bite.ply', unit: null };
    await expect(service.openOpposing(scanId, bytes.slice(), about, job())).rejects.toMatchObject({
      code: 'OPPOSING_IS_THIS_SCAN',
    });
    // The arch itself in another file: it does not face these crowns, so no room is told.
    const facts = await service.openOpposing(scanId, savedAgain(bytes), about, job());
    expect(facts).toMatchObject({ fileName: 'bite.ply', file: null });
    const alike = await service.completePlan(scanId, analysis, settings, null, job());
    expect(alike.room).toMatchObject({ teeth: [], reasons: [{ code: 'OPPOSING_FACES_ALIKE' }] });
    const bite = await mirroredAtTops(analysis.frame.z);
    await service.openOpposing(scanId, bite.slice(), about, job());
    const roomed = await service.completePlan(scanId, analysis, settings, null, job());
    expect(roomed.room?.opposing).toBe('bite.ply');
    expect(roomed.room!.teeth.length).toBeGreaterThan(2);
    // A file of the user that is read here goes back.
    const given = new Blob([bite]);
    const read = await service.openOpposing(scanId, given, about, job());
    expect(Buffer.compare(read.file!, bite)).toBe(0);
    expect(transferred.at(-1)).toBe(1);
    expect((await service.completePlan(scanId, analysis, settings, null, job())).room).toEqual(roomed.room);
    await service.dropOpposing(scanId);
    expect((await service.completePlan(scanId, analysis, settings, null, job())).room).toBeUndefined();
    await expect(
      service.openOpposing(scanId, new Uint8Array(10), { fileName: 'bad.stl', unit: null }, job()),
    ).rejects.toMatchObject({ kind: 'input' });
  });
});
