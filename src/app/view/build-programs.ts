import { BufferGeometry, type Camera, type Material, Mesh, Scene, type WebGLRenderer } from 'three';

/** Time between two looks at whether the graphics process is done, and the most of it that is waited, ms. */
const LOOK_MS = 10;
const MOST_WAIT_MS = 2000;

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
  await allDone(renderer.getContext() as WebGL2RenderingContext);
  if (!isGone()) renderer.render(scene, camera);
}

/** Resolves when all that was asked of the graphics process is done, without the thread standing still for it. */
async function allDone(gl: WebGL2RenderingContext): Promise<void> {
  const fence = gl.fenceSync(gl.SYNC_GPU_COMMANDS_COMPLETE, 0);
  // Lost again.
  if (fence === null) return;
  gl.flush();
  for (let waited = 0; waited < MOST_WAIT_MS; waited += LOOK_MS) {
    await new Promise((resolve) => setTimeout(resolve, LOOK_MS));
    if (gl.isContextLost() || gl.getSyncParameter(fence, gl.SYNC_STATUS) === gl.SIGNALED) break;
  }
  gl.deleteSync(fence);
}
