// @vitest-environment node
import { afterEach, beforeAll, describe, expect, it } from 'vitest';
import { writeBinaryStl } from '../../../fixtures/write-stl.ts';
import type { Analysis } from '../../../src/contacts/types.ts';
import { usageError } from '../../../src/geometry/archgap-error.ts';
import type { TriangleMesh } from '../../../src/geometry/types.ts';
import { vertexAt } from '../../../src/geometry/vec3.ts';
import type { JobProgress } from '../../../workers/analysis-api.ts';
import type { AgreementRequest, CrownsReply, LabApi } from '../../../workers/lab-api.ts';
import { makeLabService } from '../../../workers/lab-service.ts';
import { ballScene } from '../../helpers/ball-restoration.ts';
import { makeAnalysis } from '../../helpers/make-analysis.ts';
import { makeScanFromArrays } from '../../helpers/make-scan.ts';
import { SPHERE_SPACES_MM, sphereCrownFiles, sphereSlackMm } from '../../helpers/sphere-crowns.ts';

const EDGE_MM = 0.6;
const text = ({ bytes }: { bytes: Uint8Array }) => new TextDecoder().decode(bytes);
const ports: MessagePort[] = [];
afterEach(() => {
  for (const port of ports.splice(0)) port.close();
});
/** The worker's end of a job, and the stages that were heard at the other one. */
function job() {
  const { port1, port2 } = new MessageChannel();
  ports.push(port1, port2);
  const stages: string[] = [];
  let end = () => {};
  const ended = new Promise<void>((resolve) => {
    end = resolve;
  });
  port1.onmessage = ({ data }: MessageEvent<JobProgress | 'end'>) => {
    if (data === 'end') end();
    else stages.push(data.stage);
  };
  /** Messages of a port come in order: after its own, all before have been heard. A slow stage is told of repeatedly. */
  const heardStages = async () => {
    port2.postMessage('end');
    await ended;
    return stages.filter((stage, i) => stage !== stages[i - 1]);
  };
  return { port: port2, heardStages };
}

const scene = ballScene(0.3, -0.2);
const base = makeAnalysis({ teeth: [23, 25] });
const analysis: Analysis = {
  ...base,
  frame: scene.scan.frame,
  teeth: base.teeth.map((record) => ({ ...record, centre: scene.scan.centres.get(record.tooth)! })),
};
const scan = makeScanFromArrays(scene.scan.mesh.positions, scene.scan.mesh.triangles);
const makeService = (transferred: number[] = []): LabApi =>
  makeLabService(
    (reply, buffers) => {
      transferred.push(buffers.length);
      return reply;
    },
    (scanId) => {
      if (scanId !== 'scan') throw usageError('NO_SCAN', 'Not open.');
      return { scan, labels: scene.scan.labels, analysis };
    },
  );

describe('separate crowns', () => {
  const files = sphereCrownFiles(EDGE_MM);
  // Given in any order; the reply is in arch order.
  const crowns = [21, 12, 22, 11].map((tooth) => ({
    tooth,
    fileName: `${tooth}.stl`,
    bytes: files[`${tooth}.stl`]!,
  }));
  const request = { crowns, jaw: 'upper', unit: null, settings: { limitMm: 0.1 } } as const;
  const transferred: number[] = [];
  const service = makeService(transferred);
  const heard = job();
  let reply: CrownsReply;
  beforeAll(async () => {
    reply = await service.measureCrowns(request, heard.port);
  });

  it('are measured, told in progress, and handed over as one mesh with their numbers', async () => {
    for (const [k, truth] of Object.values(SPHERE_SPACES_MM).entries()) {
      const { nearestMm } = reply.analysis.contacts[k]!;
      expect(nearestMm).toBeGreaterThanOrEqual(truth - 1e-4);
      expect(nearestMm).toBeLessThanOrEqual(truth + sphereSlackMm(EDGE_MM) + 1e-4);
    }
    expect([...new Set(reply.labels)]).toEqual([12, 11, 21, 22]);
    expect(reply.labels).toHaveLength(reply.triangles.length / 3);
    expect(reply.normals).toHaveLength(reply.positions.length);
    expect(transferred[0]).toBe(4);
    expect(await heard.heardStages()).toContain('measuring contacts');
  });

  it('give pictures of a contact, and every file, of the analysis that the page shows', async () => {
    const view = await service.viewCrowns(reply.crownsId, 21, 22);
    expect([view.section.toothA, view.section.toothB]).toEqual([21, 22]);
    expect(view.mapA.bands.some(({ pieces }) => pieces.length > 0)).toBe(true);
    const about = {
      analysis: reply.analysis,
      numbering: 'iso',
      version: '1',
      createdAt: '2026-01-01',
    } as const;
    const write = (kind: 'contacts-csv' | 'result-json' | 'labelled-ply' | 'report-html') =>
      service.writeCrowns(reply.crownsId, { kind, ...about });
    expect(text(await write('contacts-csv')).split('\n')).toHaveLength(5);
    expect(JSON.parse(text(await write('result-json'))).schema).toBe('archgap-result/1');
    expect(text(await write('labelled-ply'))).toMatch(/^ply\n/);
    const html = text(await write('report-html'));
    // The cut and both walls of every contact, open or closed.
    expect(html.match(/<figure class="cut with-walls">/g)).toHaveLength(3);
    expect(html.match(/<svg class="cm"/g)).toHaveLength(6);
  });

  it('measured later take the place of those before', async () => {
    const two = crowns.filter(({ tooth }) => tooth === 12 || tooth === 11);
    const next = await service.measureCrowns({ ...request, crowns: two }, job().port);
    expect((await service.viewCrowns(next.crownsId, 12, 11)).section.toothB).toBe(11);
    await expect(service.viewCrowns(reply.crownsId, 21, 22)).rejects.toMatchObject({ code: 'NO_CROWNS' });
    // Closing those that were let go long ago lets nothing else go.
    await service.closeCrowns(reply.crownsId);
    await service.viewCrowns(next.crownsId, 12, 11);
    await service.closeCrowns(next.crownsId);
    await expect(service.viewCrowns(next.crownsId, 12, 11)).rejects.toMatchObject({ code: 'NO_CROWNS' });
  });
});

describe('a restoration', () => {
  const file = () => ({ fileName: '24.stl', bytes: writeBinaryStl(scene.restoration) });

  it('is held against the neighbours on the measured scan, with its pictures and progress', async () => {
    const heard = job();
    const { sides, views, restoration, warnings } = await makeService().fit('scan', file(), 24, heard.port);
    expect(restoration.fileName).toBe('24.stl');
    expect(warnings).toEqual([]);
    expect(Math.abs(sides[0]!.space!.valueMm - 0.3)).toBeLessThan(0.01);
    expect(Math.abs(sides[1]!.space!.valueMm + 0.2)).toBeLessThan(0.01);
    expect(views.map((view) => view?.map !== null)).toEqual([true, true]);
    expect(await heard.heardStages()).toContain('drawing both sides');
  });

  it('is read where it lies on the scan, mesh and normals, to be drawn', async () => {
    const { positions, triangles, normals } = await makeService().readRestoration('scan', file(), job().port);
    const { restoration } = scene;
    expect(triangles).toHaveLength(restoration.triangles.length);
    expect(normals).toHaveLength(positions.length);
    const corners = (mesh: TriangleMesh) =>
      [...mesh.triangles].flatMap((v) => [...vertexAt(mesh.positions, v)]);
    const [read, given] = [corners({ positions, triangles }), corners(restoration)];
    expect(read.every((value, i) => Math.abs(value - given[i]!) < 1e-4)).toBe(true);
    const elsewhere = makeService().readRestoration('other', file(), job().port);
    await expect(elsewhere).rejects.toMatchObject({ code: 'NO_SCAN' });
  });

  it('is refused on a scan that is not open', async () => {
    await expect(makeService().fit('other', file(), 24, job().port)).rejects.toMatchObject({
      code: 'NO_SCAN',
    });
  });
});

describe('agreement', () => {
  const table = (shift: number) => {
    const rows = [0.12, 0.31, 0.22, 0.41].map((gap, k) => `m${k},upper,11,21,open,${gap + shift * (k % 2)}`);
    return new TextEncoder().encode(['id,jaw,tooth_a,tooth_b,status,gap_mm', ...rows].join('\n'));
  };
  const request: AgreementRequest = {
    tables: [
      { fileName: 'a.csv', bytes: table(0) },
      { fileName: 'a.csv', bytes: table(0.01) },
    ],
    options: { value: null, target: null, by: null },
    version: '1',
  };

  it('gives figures, plots and files, tells two tables of one name apart, and says how far it is', async () => {
    const heard = job();
    const reply = await makeService().assessAgreement(request, heard.port);
    expect(reply.valueColumn).toBe('gap_mm');
    expect(reply.files.map(({ fileName }) => fileName)).toEqual([
      'agreement.html',
      'agreement.csv',
      'agreement.json',
    ]);
    expect(text(reply.files[2]!)).toContain('a.csv (2)');
    expect(reply.parts[0]!.html).toContain('<svg');
    expect(await heard.heardStages()).toEqual([
      'reading a.csv',
      'arranging the measurements',
      'working out the figures',
      'drawing the plots',
      'writing the files',
    ]);
  });

  it('says on the page and in the report that a table was given twice', async () => {
    const [one] = request.tables;
    const twice = { ...request, tables: [one!, one!] };
    const told = 'a.csv (1) and a.csv (2) are the same byte for byte.';
    const { cautions, files } = await makeService().assessAgreement(twice, job().port);
    expect(cautions).toEqual([expect.stringContaining(told)]);
    expect(text(files[0]!)).toContain(told);
    expect((await makeService().assessAgreement(request, job().port)).cautions).toEqual([]);
  });

  it('refuses a table that is not UTF-8, as the command line does, and changes no name in it', async () => {
    const bytes = Buffer.from('target,operator,value\nm1,B\u00e4r,0.1\nm1,B\u00f6r,0.2\n', 'latin1');
    const latin = { ...request, tables: [{ fileName: 'a.csv', bytes: new Uint8Array(bytes) }] };
    await expect(makeService().assessAgreement(latin, job().port)).rejects.toMatchObject({
      code: 'TEXT_NOT_UTF8',
      message: expect.stringContaining('"a.csv"'),
    });
  });

  it('refuses what is too little, with the reason', async () => {
    const few = { ...request, tables: request.tables.slice(0, 1) };
    await expect(makeService().assessAgreement(few, job().port)).rejects.toMatchObject({
      code: expect.stringMatching(/^AGREEMENT_/),
    });
  });
});
