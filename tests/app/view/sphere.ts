/** A sphere about the origin by longitude and latitude, with unit normals; `rings` from pole to pole. */
export function sphere(rings: number, radiusMm: number) {
  const around = 2 * rings;
  const positions: number[] = [];
  const triangles: number[] = [];
  for (let i = 0; i <= rings; i++) {
    for (let j = 0; j < around; j++) {
      // The poles are rings of almost no width: no vertex stands there twice.
      const polar = Math.min(Math.max((Math.PI * i) / rings, 1e-3), Math.PI - 1e-3);
      const turn = (2 * Math.PI * j) / around;
      const out = radiusMm * Math.sin(polar);
      positions.push(out * Math.cos(turn), out * Math.sin(turn), radiusMm * Math.cos(polar));
    }
  }
  for (let i = 0; i < rings; i++) {
    for (let j = 0; j < around; j++) {
      const a = i * around + j;
      const b = i * around + ((j + 1) % around);
      triangles.push(a, a + around, b, b, a + around, b + around);
    }
  }
  return {
    positions: Float32Array.from(positions),
    normals: Float32Array.from(positions, (x) => x / radiusMm),
    triangles: Uint32Array.from(triangles),
    colors: null,
  };
}
