import { rejectionsAreErrors } from './rejections-are-errors.ts';
import type { SimplifyRequest } from './simplify-client.ts';
import { simplifyMesh } from './simplify-mesh.ts';

/**
 * Simplifies one mesh in a worker of its own, which ends with the job: only so is the memory given back that
 * WebAssembly took. It is the only file of the page that compiles WebAssembly; the server's policy allows it here alone.
 */
rejectionsAreErrors();
self.addEventListener('message', async ({ data }: MessageEvent<SimplifyRequest>) => {
  const simplified = await simplifyMesh(data, data.triangleCount);
  self.postMessage(simplified, {
    transfer: [simplified.triangles.buffer, simplified.source.buffer] as ArrayBuffer[],
  });
});
