import type { TriangleMesh } from '../../geometry/types.ts';
import type { SimplifiedMesh } from './coarse-labels.ts';

export interface SimplifyRequest extends TriangleMesh {
  readonly triangleCount: number;
}

/** `simplifyMesh` in a worker that ends with the job; rejects when it could not start, or died. */
export function simplifyApart(
  { positions, triangles }: TriangleMesh,
  triangleCount: number,
): Promise<SimplifiedMesh> {
  return new Promise<SimplifiedMesh>((resolve, reject) => {
    const worker = new Worker(new URL('./simplify-worker.ts', import.meta.url), { type: 'module' });
    worker.onmessage = ({ data }: MessageEvent<SimplifiedMesh>) => {
      worker.terminate();
      resolve(data);
    };
    worker.onerror = ({ message }) => {
      worker.terminate();
      reject(new Error(message || 'the worker that simplifies could not start'));
    };
    worker.postMessage({ positions, triangles, triangleCount } satisfies SimplifyRequest);
  });
}
