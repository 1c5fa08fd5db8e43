import { afterEach, beforeEach, expect, it, vi } from 'vitest';
import { withJaw } from '../../../src/app/kernel/case-inputs.ts';
import { scanKeysOf } from '../../../src/app/kernel/case-storage.ts';
import { seededRandom } from '../../../src/geometry/seeded-random.ts';
import { makeBrowser } from './fake-browser.ts';
import { leaveAll, makeDevice, visit } from './fake-device.ts';

beforeEach(() => void vi.useFakeTimers());
afterEach(() => {
  leaveAll();
  vi.useRealTimers();
});

type Room = 'enough' | 'for no scan' | 'for nothing';
type Tab = ReturnType<typeof visit>;

/** What was done to a case: places of its clicks, and whether a tab was told that some are lost. */
interface Done {
  readonly name: string;
  readonly clicks: Set<number>;
  isToldLost: boolean;
}

const wait = (ms: number) => vi.advanceTimersByTimeAsync(ms);
/** At least so long, and until the work is done, however slow the device is. */
async function meanwhile(work: Promise<unknown>, ms: number): Promise<void> {
  let isDone = false;
  void work.finally(() => {
    isDone = true;
  });
  await wait(ms);
  for (let more = 0; !isDone && more < 100; more++) await wait(1000);
  await work;
}
const placesOf = (stored: {
  arches: readonly { inputs: { clicks: readonly { point: readonly number[] }[] } }[];
}) => stored.arches[0]!.inputs.clicks.map(({ point }) => point[0]!);

/** Two tabs of one browser, on a device that is slow at times and full at times; what is done is drawn from the seed. */
async function makeScene(seed: number) {
  const random = seededRandom(seed);
  const pick = <T>(of: readonly T[]): T => of[Math.floor(random() * of.length)]!;
  const device = makeDevice();
  const now: { room: Room; delayMs: number } = { room: 'enough', delayMs: 0 };
  const { save } = device.storage;
  device.storage.save = async (stored, scans) => {
    if (now.delayMs > 0) await rest(now.delayMs);
    if (now.room === 'for nothing' || (now.room === 'for no scan' && scans.size > 0))
      throw new DOMException('full', 'QuotaExceededError');
    return save(stored, scans);
  };
  const browser = makeBrowser();
  const tabs = [visit(device, browser.newTab()), visit(device, browser.newTab())] as const;
  for (const { persistence } of tabs) void persistence.restoreLast();
  await wait(500);
  return { pick, device, now, tabs, hung: browser.hung, done: new Map<string, Done>(), serial: 0 };
}
type Scene = Awaited<ReturnType<typeof makeScene>>;
const rest = (ms: number) => new Promise((rested) => setTimeout(rested, ms));

/** What the tabs say by now counts for the cases that it is said of. */
function listen({ tabs, done }: Scene): void {
  for (const { controller } of tabs) {
    const open = done.get(controller.open()?.id ?? '');
    if (open && controller.notice()?.sentence.includes('as it was last saved')) open.isToldLost = true;
    for (const said of controller.lasting()) {
      for (const one of done.values())
        if (said.startsWith(one.name) && said.includes('goes on in another tab')) one.isToldLost = true;
    }
  }
}

async function newCase({ done }: Scene, { controller }: Tab): Promise<void> {
  if (done.size === 4) return;
  const name = `scan${done.size}.stl`;
  await controller.openFiles([{ name, bytes: new Uint8Array([done.size]) }]);
  done.set(controller.open()!.id, { name, clicks: new Set(), isToldLost: false });
  controller.change((inputs) => withJaw(inputs, 'upper'));
}

function click(scene: Scene, { controller, persistence }: Tab): void {
  const one = scene.done.get(controller.open()?.id ?? '');
  if (!one) return;
  scene.serial += 1;
  // What is clicked in a tab that was told that another one has the case is not saved, as it said.
  if (persistence.state() !== 'elsewhere') one.clicks.add(scene.serial);
  controller.addClick({ tooth: 11, point: [scene.serial, 0, 0] });
}

/** The tab that has the case answers, or hangs and is closed when it wakes; meanwhile something is done in it. */
async function takeOver(scene: Scene, tab: Tab): Promise<void> {
  const { pick, tabs, hung } = scene;
  const former = tabs.findIndex((one) => one !== tab);
  if (pick([true, false, false])) hung.add(former);
  // It has something to save when it is asked.
  click(scene, tabs[former]!);
  await wait(pick([0, 250]));
  const taken = tab.persistence.takeOver();
  await wait(pick([0, 100, 600]));
  listen(scene);
  const what = pick(['click', 'close', 'new', 'second', 'nothing']);
  if (what === 'close') tabs[former]!.controller.closeCase();
  else if (what === 'new') await newCase(scene, tabs[former]!);
  else if (what === 'second') await secondArch(scene, tabs[former]!);
  if (what !== 'nothing') click(scene, tabs[former]!);
  await meanwhile(taken, 20_000);
  hung.clear();
}

async function openOne(scene: Scene, tab: Tab): Promise<void> {
  const { pick, device, done, tabs } = scene;
  const { persistence } = tab;
  const listed = [...device.cases.values()].filter(({ id }) => done.has(id));
  if (listed.length === 0) return;
  const others = listed.filter(({ id }) =>
    tabs.some((one) => one !== tab && one.controller.open()?.id === id),
  );
  await meanwhile(persistence.openStored(pick([...listed, ...others, ...others])), pick([3000, 20_000]));
  if (!persistence.elsewhere()) return;
  if (pick([true, true, true, false])) await takeOver(scene, tab);
  else persistence.leaveElsewhere();
}

/** A second arch comes, or goes; gone, it may be brought back by undo, from wherever its scan lies by then. */
async function secondArch(scene: Scene, { controller, persistence }: Tab): Promise<void> {
  if (!scene.done.has(controller.open()?.id ?? '') || persistence.state() === 'elsewhere') return;
  const id = controller.open()?.id;
  const other = controller.other();
  if (other === null) {
    scene.serial += 1;
    controller.setOther({ name: 'other.stl', bytes: new Uint8Array([100 + scene.serial]) });
    return;
  }
  controller.setOther(null);
  await wait(scene.pick([0, 300, 2000]));
  if (scene.pick([true, false])) return;
  controller.undo();
  await wait(100);
  // The other tab has taken the case meanwhile.
  if (controller.open()?.id !== id) return;
  expect(controller.other()?.fileName).toBe('other.stl');
}

/** A case is deleted for good, whatever the other tab has left of it; not where that one has it open. */
async function deleteOne({ pick, device, done }: Scene, { persistence }: Tab): Promise<void> {
  const listed = persistence.cases().filter(({ id }) => done.has(id));
  if (listed.length === 0) return;
  const { id } = pick(listed);
  await meanwhile(persistence.remove(id), 3000);
  if (!device.cases.has(id)) done.delete(id);
}

async function act(scene: Scene): Promise<void> {
  const { pick, now, tabs } = scene;
  const tab = pick(tabs);
  const what = pick([
    'new',
    'click',
    'click',
    'click',
    'click',
    'close',
    'open',
    'open',
    'open',
    'room',
    'delay',
    'second',
    'second',
    'delete',
  ]);
  if (what === 'new') await newCase(scene, tab);
  else if (what === 'click') click(scene, tab);
  else if (what === 'close') tab.controller.closeCase();
  else if (what === 'open') await openOne(scene, tab);
  else if (what === 'delete') await deleteOne(scene, tab);
  else if (what === 'second') await secondArch(scene, tab);
  else if (what === 'room') now.room = pick(['enough', 'for no scan', 'for nothing']);
  else now.delayMs = pick([0, 100, 700, 2500]);
}

/** There is room; everything is closed, and tried once more. */
async function end(scene: Scene): Promise<void> {
  const { now, tabs } = scene;
  [now.room, now.delayMs] = ['enough', 0];
  for (const { controller, persistence } of tabs) {
    await wait(2000);
    await meanwhile(persistence.flush(), 3000);
    listen(scene);
    controller.closeCase();
    await wait(3000);
    listen(scene);
  }
  for (const { persistence } of tabs) {
    await meanwhile(persistence.remove('none'), 20_000);
    listen(scene);
    await wait(3000);
  }
}

/** What is wrong at the end: clicks that are gone without a word, and words that are untrue. */
function wrong({ device, tabs, done }: Scene): string[] {
  const found: string[] = [];
  for (const [id, { name, clicks, isToldLost }] of done) {
    const stored = device.cases.get(id);
    const noted = device.marks.get(`archgap.journal.${id}`);
    const kept = new Set([
      ...(stored ? placesOf(stored) : []),
      ...(noted ? placesOf(JSON.parse(noted)) : []),
    ]);
    const gone = [...clicks].filter((place) => !kept.has(place));
    if (gone.length > 0 && !isToldLost) found.push(`${name} lost ${gone}`);
    const scans = stored ? scanKeysOf(stored) : [];
    if (!scans.every((key) => device.scans.has(key))) found.push(`${name} without a scan`);
  }
  for (const id of device.cases.keys()) if (!done.has(id)) found.push(`${id} came back`);
  for (const { controller, persistence } of tabs) {
    if (persistence.isAtRisk()) found.push('a tab still has something that is not saved');
    found.push(...controller.lasting().filter((said) => said.includes('could not keep it')));
  }
  return found;
}

it.each(Array.from({ length: 6 }, (_, k) => 1 + 50 * k))(
  'whatever two tabs do on a device that is slow and full at times, nothing is lost without a word: from seed %i',
  async (first) => {
    for (let seed = first; seed < first + 50; seed++) {
      const scene = await makeScene(seed);
      for (let step = 0; step < 30; step++) {
        await act(scene);
        listen(scene);
        await wait(scene.pick([1500, 50, 250]));
        listen(scene);
      }
      await end(scene);
      expect(wrong(scene), `seed ${seed}`).toEqual([]);
      leaveAll();
      vi.clearAllTimers();
    }
  },
);
