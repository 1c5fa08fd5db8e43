/** Longest wait for a graphics process that does not answer, ms. */
const MOST_WAIT_MS = 2000;

/**
 * Resolves when all that was asked of the graphics process is done, without the thread standing still for it; also when
 * the context is gone, and where the process does not say so in two seconds.
 *
 * @param lookMs - time between two looks, ms
 */
export async function allDone(gl: WebGL2RenderingContext, lookMs: number): Promise<void> {
  const fence = gl.fenceSync(gl.SYNC_GPU_COMMANDS_COMPLETE, 0);
  // Lost again.
  if (fence === null) return;
  gl.flush();
  const latestMs = performance.now() + MOST_WAIT_MS;
  do {
    // A fence is never told as reached within the turn in which it was set.
    await new Promise((resolve) => setTimeout(resolve, lookMs));
    if (gl.isContextLost() || gl.getSyncParameter(fence, gl.SYNC_STATUS) === gl.SIGNALED) break;
  } while (performance.now() < latestMs);
  gl.deleteSync(fence);
}
