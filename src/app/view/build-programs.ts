import { BufferGeometry, type Camera, type Material, Mesh, Scene, type WebGLRenderer } from 'three';
import { allDone } from './all-done.ts';

/** Time between two looks at whether the graphics process is done, ms. */
const LOOK_MS = 10;

/**
 * Has the programs of materials built while the thread does other things, and draws nothing with them once: what the
 * renderer asks of a program when it is first used is answered then, not with the scan's first picture.
 *
 * @param isGone - true once there is nothing to draw with
 */
export async function buildPrograms(
  renderer: WebGLRenderer,
  materials: readonly Material[],
  camera: Camera,
  isGone: () => boolean,
): Promise<void> {
  const scene = new Scene();
  for (const material of materials) {
    const nothing = new Mesh(new BufferGeometry(), material);
    nothing.frustumCulled = false;
    scene.add(nothing);
  }
  if (isGone()) return;
  renderer.compile(scene, camera);
  await allDone(renderer.getContext() as WebGL2RenderingContext, LOOK_MS);
  if (!isGone()) renderer.render(scene, camera);
}
