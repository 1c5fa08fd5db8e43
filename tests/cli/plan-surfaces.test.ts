import { beforeAll, describe, expect, it } from 'vitest';
import { runCli } from '../../src/cli/run-cli.ts';
import { makeMemoryWorld } from '../helpers/memory-io.ts';
import { sphereCrownFiles } from '../helpers/sphere-crowns.ts';

const CROWNS = ['12', '11', '21', '22'].flatMap((tooth) => ['--crown', `${tooth}=${tooth}.stl`]);
const text = (bytes: Uint8Array | undefined) => new TextDecoder().decode(bytes);

describe('archgap plan beside labelled.ply', () => {
  const measured = new Map<string, Uint8Array>();
  const crowns = sphereCrownFiles(0.3);
  // A copy of a crown that stands right at the others serves as the opposing arch; its header says something else.
  const copy = crowns['11.stl']!.slice().fill(0x6f, 0, 5);

  beforeAll(async () => {
    const world = makeMemoryWorld(crowns);
    expect(await runCli(['measure', ...CROWNS, '--jaw', 'upper', '--out', 'run'], world.io)).toBe(0);
    for (const name of ['result.json', 'labelled.ply'])
      measured.set(name, world.files.get(`/here/run/${name}`)!);
  }, 120_000);

  async function plan(content: Record<string, string | Uint8Array>, ...more: string[]) {
    const world = makeMemoryWorld({ ...crowns, ...content });
    const status = await runCli(['plan', 'run/result.json', '--out', 'o', ...more], world.io);
    const written = world.files.get('/here/o/plan.json');
    return { world, status, document: written ? JSON.parse(text(written)) : null };
  }
  const files = () => ({
    'run/result.json': measured.get('result.json')!,
    'run/labelled.ply': measured.get('labelled.ply')!,
  });

  it('measures the proposed span on the moved crowns and says so', async () => {
    const { world, status, document } = await plan(files());
    expect([status, world.stderr()]).toEqual([0, '']);
    expect(document.surface_check).toMatchObject({ met: true });
    expect(document.surface_check.measured.length).toBeGreaterThan(0);
    for (const { after_mm } of document.surface_check.measured)
      expect(Math.abs(after_mm)).toBeLessThan(0.011);
    expect(document.sensitivity.draws).toBe(200);
    expect(world.stdout()).toContain('Measured again on the moved crowns of labelled.ply');
  });

  it('without it the rows are linear, and that is said', async () => {
    const { world, status, document } = await plan({ 'run/result.json': measured.get('result.json')! });
    expect(status).toBe(0);
    expect(document.surface_check).toBeNull();
    expect(document.sensitivity).not.toBeNull();
    expect(world.stdout()).toContain('There is no labelled.ply beside the result');
  });

  it('takes the labelled file of the result’s own beginning, as the page names it, before the plain one', async () => {
    const named = {
      'run/scan-upper-result.json': measured.get('result.json')!,
      'run/labelled.ply': 'of the other arch',
    };
    const world = makeMemoryWorld({ ...named, 'run/scan-upper-labelled.ply': measured.get('labelled.ply')! });
    const asked = ['plan', 'run/scan-upper-result.json', '--out', 'o'];
    expect(await runCli(asked, world.io)).toBe(0);
    expect(world.stdout()).toContain('moved crowns of scan-upper-labelled.ply beside the result');
    const renamed = makeMemoryWorld({ ...named, 'run/labelled.ply': measured.get('labelled.ply')! });
    expect(await runCli(asked, renamed.io)).toBe(0);
    expect(renamed.stdout()).toContain('moved crowns of labelled.ply beside the result');
  });

  it('a labelled file of other teeth is not used; one that is broken is refused', async () => {
    const other = measured.get('labelled.ply')!.slice();
    for (let at = other.length - 1; at > 400; at -= 14) if (other[at] === 22) other[at] = 0;
    const strange = await plan({ ...files(), 'run/labelled.ply': other });
    expect(strange.document.surface_check).toBeNull();
    expect(strange.world.stdout()).toContain('belongs to another measurement (it has no tooth 22)');
    const broken = await plan({ ...files(), 'run/labelled.ply': 'ply\n' });
    expect(broken.status).toBe(3);
    expect(broken.world.stderr()).toMatch(/^archgap: LABELLED_PLY: /);
  });

  it('--opposing: the room along each motion, in one frame', async () => {
    const { status, document } = await plan({ ...files(), 'lower.stl': copy }, '--opposing', 'lower.stl');
    expect(status).toBe(0);
    expect(document.room).toMatchObject({ opposing: 'lower.stl' });
    expect(document.room.teeth.length).toBeGreaterThan(1);
    expect(document.reasons.at(-1).sentence).toContain('taken to lie in the same frame');
    const without = await plan(
      { 'run/result.json': measured.get('result.json')!, 'lower.stl': copy },
      ...['--opposing', 'lower.stl'],
    );
    expect(without.status).toBe(2);
    expect(without.world.stderr()).toMatch(/^archgap: OPPOSING_NEEDS_LABELS: /);
    const absent = await plan(files(), '--opposing', 'none.stl');
    expect(absent.status).toBe(3);
  });

  it('--opposing: what was measured itself is refused, whatever it is called, and nothing is written', async () => {
    for (const name of ['11.stl', 'lower.stl']) {
      const { status, world } = await plan(
        { ...files(), 'lower.stl': crowns['11.stl']! },
        '--opposing',
        name,
      );
      expect([status, world.stderr()]).toEqual([
        3,
        `archgap: OPPOSING_IS_THIS_SCAN: "${name}" was itself measured for this result, byte for byte; name the scan of the other jaw.\n`,
      ]);
      expect(world.folders.has('/here/o')).toBe(false);
    }
  });

  it('--span-rule reaches the plan', async () => {
    const { document } = await plan(files(), '--span-rule', 'terminal-molars');
    expect(document.settings.span_rule).toBe('terminal-molars');
    expect(document.proposal).toMatchObject({ from: '12', to: '22' });
  });
});
