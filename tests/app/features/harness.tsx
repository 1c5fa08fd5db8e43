import { render } from '@solidjs/testing-library';
import type { JSX } from 'solid-js';
import { AppContext, type AppState } from '../../../src/app/kernel/app-context.ts';
import { createAgreement } from '../../../src/app/kernel/create-agreement.ts';
import { createCase } from '../../../src/app/kernel/create-case.ts';
import { createClickHelp } from '../../../src/app/kernel/create-click-help.ts';
import { createCrowns } from '../../../src/app/kernel/create-crowns.ts';
import { createDesk } from '../../../src/app/kernel/create-desk.ts';
import { createFit } from '../../../src/app/kernel/create-fit.ts';
import { createPersistence } from '../../../src/app/kernel/create-persistence.ts';
import { createPlayback } from '../../../src/app/kernel/create-playback.ts';
import { createPractice } from '../../../src/app/kernel/create-practice.ts';
import { createPreferences } from '../../../src/app/kernel/preferences.ts';
import { createWorksheet } from '../../../src/app/kernel/worksheet.ts';
import type { ClosurePlan } from '../../../src/closure/types.ts';
import { type FakeClient, makeFakeClient } from '../kernel/fake-client.ts';

const DEMO_CLICKS = {
  jaw: 'upper',
  clicks: [13, 12, 11, 21].map((tooth, i) => ({ tooth, point: [i * 8, 0, 0] })),
  missing: [],
  fixed: [],
};

/** Renders a screen with the whole kernel behind it; only worker, network and device are played. */
export function renderWithApp(screen: () => JSX.Element, client: FakeClient = makeFakeClient()) {
  let state: AppState | undefined;
  const nothingKept = { get: () => null, set: () => {} };
  const view = render(() => {
    const preferences = createPreferences(nothingKept);
    const practice = createPractice(nothingKept);
    const now = () => new Date('2026-01-05T10:00:00Z');
    const controller = createCase({
      client,
      fetchDemo: async () => ({
        scan: { name: 'demo-arch.ply', bytes: new Uint8Array([1]) },
        clicks: JSON.stringify(DEMO_CLICKS),
      }),
      newId: () => 'case-1',
      numbering: preferences.numbering,
      practice: practice.practice,
      version: '0.0.0',
      now,
    });
    const worksheet = createWorksheet(controller);
    const storage = {
      list: async () => ({ cases: [], unreadable: 0 }),
      scanOf: async () => null,
      save: async () => {},
      remove: async () => {},
    };
    state = {
      version: '0.0.0',
      controller,
      preferences,
      persistence: createPersistence({ storage, marks: nothingKept, controller, now }),
      playback: createPlayback(controller.results.plan),
      practice,
      worksheet,
      clickHelp: createClickHelp({ client, controller, worksheet, preferences }),
      desk: createDesk(),
      fit: createFit(client, controller, () => 'iso'),
      crowns: createCrowns({
        client,
        numbering: preferences.numbering,
        version: '0.0.0',
        now,
      }),
      agreement: createAgreement(client, '0.0.0'),
      readFor: () => {},
      lookFor: () => {},
      takeFiles: () => {},
      takeOther: async (files) => {
        for (const file of files) {
          controller.setOther({ name: file.name, bytes: new Uint8Array(await file.arrayBuffer()) });
          return;
        }
      },
    };
    return <AppContext.Provider value={state}>{screen()}</AppContext.Provider>;
  });
  if (!state) throw new Error('The screen was not rendered.');
  return { ...view, state, client };
}

/** A plan of two spans over the demo's contacts: the first opens 13-12, the second closes all and is proposed. */
export function makePlan(settings: ClosurePlan['settings']): ClosurePlan {
  const contact = (
    toothA: number,
    toothB: number,
    afterMm: number,
    insideSpan: boolean,
    opened: boolean,
  ) => ({
    toothA,
    toothB,
    status: 'open' as const,
    beforeMm: 0.3,
    afterMm,
    insideSpan,
    opened,
  });
  const still = { mesialMm: 0.1, buccalMm: 0, rotationRad: 0, dxMm: 0.1, dyMm: 0 };
  return {
    settings,
    answer: 'tighten',
    proposal: { from: 13, to: 21, stages: 2 },
    reasons: [{ code: 'CLOSES_ALL', sentence: 'No contact stays open.' }],
    commonPractice: { from: null, to: null, agrees: null, sentence: 'Nothing was said.' },
    spans: [
      {
        from: 12,
        to: 21,
        stages: 1,
        stagesNeeded: 1,
        contacts: [
          contact(13, 12, 0.45, false, true),
          contact(12, 11, 0, true, false),
          contact(11, 21, 0, true, false),
        ],
        teeth: [{ tooth: 12, ...still }],
        arch: null,
        verdict: 'opens-others',
        reasons: [],
      },
      {
        from: 13,
        to: 21,
        stages: 2,
        stagesNeeded: 2,
        contacts: [
          contact(13, 12, 0, true, false),
          contact(12, 11, 0, true, false),
          contact(11, 21, 0.2, true, false),
        ],
        teeth: [{ tooth: 13, ...still }],
        arch: null,
        verdict: 'closes-all',
        reasons: [],
      },
    ],
  };
}
