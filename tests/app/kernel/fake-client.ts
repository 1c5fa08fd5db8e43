import type { AnalysisClient } from '../../../src/app/kernel/analysis-client.ts';
import type { ScanBytes } from '../../../src/app/kernel/scan-bytes.ts';
import type { CaseContent } from '../../../src/casefile/types.ts';
import type { ClosurePlan } from '../../../src/closure/types.ts';
import type { FitSide } from '../../../src/contacts/fit-types.ts';
import type { Analysis, Contact, SectionProfile } from '../../../src/contacts/types.ts';
import { inputError } from '../../../src/geometry/archgap-error.ts';
import type { ClickSet, ToothNumber } from '../../../src/teeth/types.ts';
import type { OpenReply, ScanFacts } from '../../../workers/analysis-api.ts';
import type { FitReply } from '../../../workers/lab-api.ts';
import { readBlob } from '../../../workers/read-blob-api.ts';

const FRAME = { origin: [0, 0, 0], x: [1, 0, 0], y: [0, 1, 0], z: [0, 0, 1] } as const;

/** What the fake client proposes, 8 mm from tooth to tooth. */
const FAKE_PLACES = [13, 12, 11, 21, 22, 23].map((tooth, i) => ({
  tooth,
  point: [8 * i, 0, 0] as const,
  confidence: tooth === 23 ? 0.3 : 0.9,
}));

/** A client without a worker: opens any file, tells one triangle per click, measures 0.30 mm everywhere. */
export interface FakeClient extends AnalysisClient {
  readonly calls: string[];
  /** Makes the next call of this name fail. */
  failNext(name: string, error: Error): void;
}

/** A plan with nothing to do. */
function emptyPlan(settings: ClosurePlan['settings']): ClosurePlan {
  return {
    settings,
    spans: [],
    answer: 'none-needed',
    proposal: null,
    reasons: [],
    commonPractice: { from: null, to: null, agrees: null, sentence: '' },
  };
}

/** As the client does: what was read of a file of the user is kept. */
async function lengthOf(bytes: ScanBytes): Promise<number> {
  const all = await bytes.handOver();
  if (all instanceof Uint8Array) return all.length;
  const read = await readBlob(all);
  const { length } = read;
  bytes.broughtBack(read);
  return length;
}

export function makeFakeClient(): FakeClient {
  const calls: string[] = [];
  const failures = new Map<string, Error>();
  let scans = 0;
  let lastClicks: ClickSet | null = null;
  let packed: CaseContent | null = null;

  const step = async (name: string) => {
    calls.push(name);
    await Promise.resolve();
    const failure = failures.get(name);
    failures.delete(name);
    if (failure) throw failure;
  };

  return {
    calls,
    failNext: (name, error) => void failures.set(name, error),
    async openScan(bytes, { fileName, unit }, watch) {
      await step('openScan');
      watch.onProgress({ fraction: 0.5, stage: 'reading' });
      if ((await lengthOf(bytes)) === 0) throw inputError('FILE_EMPTY', `${fileName} is empty.`);
      scans += 1;
      const facts = fakeFacts(fileName, unit ?? 'mm');
      const empty = new Float32Array();
      const reply: OpenReply = {
        scanId: `scan-${scans}`,
        facts,
        positions: empty,
        normals: empty,
        triangles: new Uint32Array(),
        colors: null,
      };
      return reply;
    },
    async readClicks(_scanId, text) {
      await step('readClicks');
      return JSON.parse(text) as ClickSet;
    },
    draft: async () => null,
    async segment(_scanId, clicks) {
      await step('segment');
      lastClicks = clicks;
      return { labels: new Uint8Array(clicks.clicks.length), frame: FRAME, warnings: [] };
    },
    async proposeClicks(_scanId, clicks) {
      await step('proposeClicks');
      const said = clicks.clicks.map((click) => click.tooth);
      const proposals = FAKE_PLACES.filter(({ tooth }) => !said.includes(tooth));
      return {
        proposals,
        questions: said.includes(17) ? [{ code: 'TOOTH_SEEMS_MISSING', teeth: [14, 15] }] : [],
      };
    },
    async measure(_scanId, clicks, settings) {
      await step('measure');
      return { analysis: fakeAnalysis(clicks, settings.limitMm), settled: null };
    },
    async section(_scanId, toothA, toothB) {
      await step('section');
      if (!lastClicks) throw inputError('NO_SECTION', 'Nothing to cut.');
      return fakeSection(toothA, toothB);
    },
    async plan(_analysis, settings) {
      await step('plan');
      return emptyPlan(settings);
    },
    async completePlan(_scanId, _analysis, settings) {
      await step('completePlan');
      return emptyPlan(settings);
    },
    async openOpposing(_scanId, bytes, { fileName }) {
      await step('openOpposing');
      if ((await lengthOf(bytes)) === 0) throw inputError('FILE_EMPTY', `${fileName} is empty.`);
      return { fileName, unitSentence: 'The size says so.' };
    },
    dropOpposing: () => step('dropOpposing'),
    async layOver() {
      await step('layOver');
      const clicks = lastClicks ?? { jaw: 'upper', clicks: [], missing: [], fixed: [] };
      const motion = { rotation: [1, 0, 0, 0, 1, 0, 0, 0, 1], translation: [0, 0, 5] as const };
      const teeth = clicks.clicks.flatMap(({ tooth }) =>
        tooth === 'gum'
          ? []
          : [
              {
                tooth,
                sighting: 'recognised' as const,
                motion,
                nearShare: 1,
                medianOffsetMm: 0.01,
                shiftMm: 0,
              },
            ],
      );
      return { alignment: { motion, teeth, medianOffsetMm: 0.01 }, clicks };
    },
    async writeFile(_scanId, { kind }) {
      await step('writeFile');
      return { fileName: kind, mediaType: 'text/plain', bytes: new Uint8Array([1]) };
    },
    async packCase({ content }) {
      await step('packCase');
      packed = content;
      return {
        fileName: 'case.zip',
        mediaType: 'application/zip',
        bytes: new Uint8Array([0x50, 0x4b, 3, 4]),
      };
    },
    async unpackCase() {
      await step('unpackCase');
      if (!packed) throw inputError('CASE_FILE_DAMAGED', 'Nothing was packed.');
      return packed;
    },
    close: () => step('close'),
    async fit(_scanId, { fileName }, tooth) {
      await step('fit');
      return fakeFit(fileName, tooth);
    },
    async readRestoration() {
      await step('readRestoration');
      return {
        positions: Float32Array.of(0, 0, 0, 1, 0, 0, 0, 1, 0),
        normals: Float32Array.of(0, 0, 1, 0, 0, 1, 0, 0, 1),
        triangles: Uint32Array.of(0, 1, 2),
      };
    },
    async measureCrowns({ crowns, jaw, settings }) {
      await step('measureCrowns');
      const teeth = crowns.map(({ tooth }) => tooth);
      const contacts = teeth
        .slice(1)
        .map((tooth, i) => fakeContact(teeth[i]!, tooth, -0.02, settings.limitMm));
      const clicks = { jaw, clicks: [], missing: [], fixed: [] };
      return {
        crownsId: 'crowns-1',
        analysis: { ...fakeAnalysis(clicks, settings.limitMm), kind: 'crowns', contacts },
        frame: FRAME,
        positions: new Float32Array(),
        normals: new Float32Array(),
        triangles: new Uint32Array(),
        labels: new Uint8Array(),
      };
    },
    async viewCrowns(_crownsId, toothA, toothB) {
      await step('viewCrowns');
      const map = { outline: null, bands: [], point: null };
      return { section: fakeSection(toothA, toothB), mapA: map, mapB: map };
    },
    async closeCrowns() {
      await step('closeCrowns');
    },
    async writeCrowns(_crownsId, { kind }) {
      await step('writeCrowns');
      return { fileName: kind, mediaType: 'text/plain', bytes: new Uint8Array() };
    },
    async assessAgreement({ tables, options }) {
      await step('assessAgreement');
      return {
        headline: `${tables.length} tables`,
        sentences: [],
        cautions: tables.length > new Set(tables.map(({ fileName }) => fileName)).size ? ['Alike.'] : [],
        parts: [{ heading: 'All occasions', html: '<p>figures</p>' }],
        valueColumn: options.value ?? 'gap_mm',
        targetColumns: [...(options.target ?? ['tooth_a'])],
        occasionColumns: [...(options.by ?? ['table'])],
        files: [],
      };
    },
    start: () => {},
    dispose: () => {},
  };
}

function fakeFacts(fileName: string, unit: 'mm' | 'cm' | 'm' | 'in'): ScanFacts {
  return {
    source: {
      fileName,
      byteLength: 3,
      sha256: fileName,
      format: 'stl-binary',
      unit: { unit, basis: 'size', sure: true, sentence: 'The size says so.' },
      trianglesInFile: 0,
      verticesInFile: 0,
    },
    health: {
      vertices: 0,
      triangles: 0,
      weldedVertices: 0,
      degenerateRemoved: 0,
      duplicatesRemoved: 0,
      components: 1,
      largestComponentTriangles: 0,
      openEdges: 0,
      nonManifoldEdges: 0,
      flippedEdges: 0,
      medianEdgeMm: 0.2,
      sizeMm: [60, 50, 20],
      areaMm2: 0,
      findings: [],
    },
    originMm: [0, 0, 0],
  };
}

function fakeContact(toothA: ToothNumber, toothB: ToothNumber, valueMm: number, limitMm: number): Contact {
  return {
    toothA,
    toothB,
    status: valueMm - 0.05 > limitMm ? 'open' : 'undecided',
    gap: { valueMm, u95Mm: 0.05, basis: 'patch', terms: [] },
    upperBoundMm: null,
    nearestMm: valueMm,
    clearanceMm: valueMm,
    bridge: 'none',
    bridgeHeightMm: null,
    bridgeWidthMm: null,
    pointA: [0, 0, 0],
    pointB: [valueMm, 0, 0],
    closingDirection: [1, 0, 0],
    heightMm: 1,
    slipMm: 0,
    limitMm,
    notes: [],
  };
}

export function fakeAnalysis(clicks: ClickSet, limitMm: number): Analysis {
  const teeth = clicks.clicks.flatMap((click) => (click.tooth === 'gum' ? [] : [click.tooth]));
  const facts = fakeFacts('a.stl', 'mm');
  return {
    sources: [facts.source],
    health: facts.health,
    kind: 'scan',
    originMm: [0, 0, 0],
    fileUnit: 'mm',
    jaw: clicks.jaw,
    frame: FRAME,
    archCurve: [],
    teeth: [],
    missing: clicks.missing,
    contacts: teeth.slice(1).map((tooth, i) => fakeContact(teeth[i] as number, tooth, 0.3, limitMm)),
    settings: { limitMm },
    warnings: [],
  };
}

function fakeFit(fileName: string, tooth: ToothNumber): FitReply {
  const side: FitSide = {
    side: 'mesial',
    neighbour: tooth - 1,
    status: 'undecided',
    space: { valueMm: -0.1, u95Mm: 0.02 },
    deeperThanMm: null,
    atMostMm: null,
    addMm: null,
    neighbourIsFirst: true,
    closingDirection: [1, 0, 0],
    ends: null,
    point: [0, 0, 0],
    heightMm: 2,
    buccalMm: 0.3,
    within20umMm2: 1,
    within50umMm2: 2,
    notes: [],
  };
  const other: FitSide = { ...side, side: 'distal', neighbour: null, space: null, notes: ['site'] };
  const { source } = fakeFacts(fileName, 'mm');
  return { restoration: source, sides: [side, other], views: [null, null], warnings: [] };
}

function fakeSection(toothA: ToothNumber, toothB: ToothNumber): SectionProfile {
  return {
    toothA,
    toothB,
    origin: [0, 0, 0],
    u: [1, 0, 0],
    v: [0, 0, 1],
    linesA: [],
    linesB: [],
    linesGum: [],
    a: [-0.15, 0],
    b: [0.15, 0],
    outOfPlaneMm: 0,
  };
}
