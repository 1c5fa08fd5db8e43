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
    expect(crowns.wants()).toBe('Tooth 21 has 2 files, 21.stl and left.stl: take out what is not wanted.');
    crowns.setTooth(crowns.entries()[2]!.id, 31);
    expect(crowns.wants()).toMatch(/one jaw/);
    crowns.remove(crowns.entries()[2]!.id);
    expect(crowns.wants()).toBeNull();
    crowns.remove(crowns.entries()[0]!.id);
    expect(crowns.wants()).toMatch(/Two crowns/);
  });

  it('takes a crown that was exported again under its name in place of the one before, and says so', () => {
    crowns.add([file('11.stl'), file('21.stl'), file('left.stl')]);
    expect(crowns.replaced()).toEqual([]);
    const again = { name: '11.stl', bytes: new Uint8Array([2]) };
    crowns.add([again]);
    expect(crowns.entries().map(({ file: { name } }) => name)).toEqual(['11.stl', '21.stl', 'left.stl']);
    expect(crowns.entries()[0]?.file).toBe(again);
    expect(crowns.replaced()).toEqual(['11.stl']);
    // A name without a number may be another crown; another name for one tooth is asked about.
    crowns.add([file('left.stl'), file('11-new.stl')]);
    expect(crowns.replaced()).toEqual([]);
    expect(crowns.entries()).toHaveLength(5);
    for (const { id, tooth } of crowns.entries()) if (tooth === null) crowns.remove(id);
    expect(crowns.wants()).toBe('Tooth 11 has 2 files, 11.stl and 11-new.stl: take out what is not wanted.');
  });

  it('keeps the number that somebody corrected when the file is given again', () => {
    crowns.add([file('11.stl'), file('36.stl'), file('left.stl')]);
    const idOf = (name: string) => crowns.entries().find((entry) => entry.file.name === name)!.id;
    crowns.setTooth(idOf('36.stl'), 12);
    crowns.setTooth(idOf('left.stl'), 21);
    const again = { name: '36.stl', bytes: new Uint8Array([2]) };
    crowns.add([again]);
    expect(crowns.entries().map(({ file: { name }, tooth }) => `${name} ${tooth}`)).toEqual([
      '36.stl 12',
      '11.stl 11',
      'left.stl 21',
    ]);
    expect(crowns.entries()[0]?.file).toBe(again);
    expect([crowns.replaced(), crowns.wants()]).toEqual([['36.stl as 12'], null]);
    // Two of one name at once are two crowns, and so may be names without a number.
    crowns.add([file('36.stl'), file('36.stl'), file('left.stl')]);
    expect([crowns.entries().length, crowns.replaced()]).toEqual([6, []]);
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
    expect((await crowns.writeFile('contacts-csv'))?.fileName).toBe('crowns-upper-contacts-csv');
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
