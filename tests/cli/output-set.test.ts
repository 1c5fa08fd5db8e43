import { describe, expect, it } from 'vitest';
import { makeOutputSet } from '../../src/cli/output-set.ts';
import { makeMemoryWorld } from '../helpers/memory-io.ts';

const bytes = (text: string) => new TextEncoder().encode(text);

/** A set of three results over older ones; `hinder` is called before the files are put in place. */
async function threeResults(hinder: (world: ReturnType<typeof makeMemoryWorld>) => void) {
  const world = makeMemoryWorld({ 'out/a': 'old a', 'out/b': 'old b', 'out/c': 'old c' });
  const set = makeOutputSet(world.io, []);
  for (const name of ['a', 'b', 'c']) await set.stage(`out/${name}`, bytes(`new ${name}`));
  hinder(world);
  let fault: unknown = null;
  try {
    set.commit();
  } catch (error) {
    fault = error;
  }
  set.discard();
  const content = Object.fromEntries(
    [...world.files].map(([path, data]) => [path.slice('/here/out/'.length), new TextDecoder().decode(data)]),
  );
  return { fault, content };
}

describe('makeOutputSet', () => {
  it('leaves an input that cannot be looked at to whoever reads it', async () => {
    const world = makeMemoryWorld();
    const { placeOf } = world.io.files;
    const files = {
      ...world.io.files,
      placeOf: (path: string) => {
        if (path === 'loop') throw Object.assign(new Error('ELOOP'), { code: 'ELOOP' });
        return placeOf(path);
      },
    };
    const set = makeOutputSet({ ...world.io, files }, ['loop']);
    await set.stage('out.json', bytes('x'));
    set.commit();
    expect(world.files.has('/here/out.json')).toBe(true);
  });

  it('puts all files in place and leaves no temporary one', async () => {
    const { fault, content } = await threeResults(() => {});
    expect(fault).toBeNull();
    expect(content).toEqual({ a: 'new a', b: 'new b', c: 'new c' });
  });

  it('leaves the older files when the first cannot be put in place', async () => {
    const { fault, content } = await threeResults((world) => world.folders.add('/here/out/a'));
    expect(fault).toMatchObject({
      code: 'OUT_NOT_WRITABLE',
      message: expect.stringContaining('Nothing was written'),
    });
    expect(content).toEqual({ a: 'old a', b: 'old b', c: 'old c' });
  });

  it('says which files are new when a later one cannot be put in place', async () => {
    const { fault, content } = await threeResults((world) => world.folders.add('/here/out/c'));
    expect(fault).toMatchObject({
      code: 'OUT_HALF_PLACED',
      details: { path: '/here/out/c', placed: '/here/out/a, /here/out/b' },
    });
    expect(content).toEqual({ a: 'new a', b: 'new b', c: 'old c' });
  });

  it('takes everything back when the user stopped the program', async () => {
    const { fault, content } = await threeResults((world) => world.stop.abort());
    expect(fault).toMatchObject({ kind: 'cancelled' });
    expect(content).toEqual({ a: 'old a', b: 'old b', c: 'old c' });
  });
});
