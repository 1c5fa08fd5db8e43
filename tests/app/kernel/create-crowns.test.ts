import { createRoot } from 'solid-js';
import { beforeEach, describe, expect, it } from 'vitest';
import { type CrownsControl, createCrowns } from '../../../src/app/kernel/create-crowns.ts';
import { inputError } from '../../../src/geometry/archgap-error.ts';
import { type FakeClient, makeFakeClient } from './fake-client.ts';

const file = (name: string) => ({ name, bytes: new Uint8Array([1]) });
const settle = () => new Promise((resolve) => setTimeout(resolve, 5));

describe('createCrowns', () => {
  let client: FakeClient;
  let crowns: CrownsControl;
  beforeEach(() => {
    client = makeFakeClient();
    createRoot(() => {
      crowns = createCrowns({
        client,
        numbering: () => 'iso',
        version: '0.0.0',
        now: () => new Date(0),
      });
    });
  });

  it('takes numbers from names, in arch order, and asks for what they do not say', () => {
    crowns.add([file('21.stl'), file('left.stl'), file('12.stl')]);
    expect(crowns.entries().map(({ tooth }) => tooth)).toEqual([12, 21, null]);
    expect(crowns.wants()).toMatch(/left\.stl/);
    crowns.setTooth(crowns.entries()[2]!.id, 21);
    expect(crowns.wants()).toMatch(/Two files are said to be tooth 21/);
    crowns.setTooth(crowns.entries()[2]!.id, 31);
    expect(crowns.wants()).toMatch(/one jaw/);
    crowns.remove(crowns.entries()[2]!.id);
    expect(crowns.wants()).toBeNull();
    crowns.remove(crowns.entries()[0]!.id);
    expect(crowns.wants()).toMatch(/Two crowns/);
  });

  it('measures, chooses the tightest contact and draws it; a limit decides without measuring again', async () => {
    crowns.add([file('11.stl'), file('21.stl')]);
    await crowns.measure();
    await settle();
    expect(crowns.selected()).toBe('11-21');
    expect(crowns.view()?.section.toothA).toBe(11);
    crowns.setLimitMm(0.5);
    expect(crowns.measured()?.analysis.contacts[0]?.limitMm).toBe(0.5);
    expect(client.calls.filter((call) => call === 'measureCrowns')).toHaveLength(1);
    expect((await crowns.writeFile('contacts-csv'))?.fileName).toBe('contacts-csv');
    // Other crowns: nothing of the former ones stays.
    crowns.add([file('22.stl')]);
    expect([crowns.measured(), crowns.selected(), crowns.view()]).toEqual([null, null, null]);
  });

  it('tells why crowns were refused', async () => {
    client.failNext('measureCrowns', inputError('CROWNS_COINCIDE', 'They lie in one place.'));
    crowns.add([file('11.stl'), file('21.stl')]);
    await crowns.measure();
    const state = crowns.job.state();
    expect(state.kind === 'failed' && state.error.code).toBe('CROWNS_COINCIDE');
    expect(crowns.measured()).toBeNull();
  });
});
