import {
  BufferAttribute,
  BufferGeometry,
  Color,
  Group,
  LessEqualDepth,
  Matrix4,
  Mesh,
  ShaderMaterial,
  type WebGLRenderer,
} from 'three';
import type { RigidMotion } from '../../geometry/rigid.ts';
import type { EarlierShown } from './drawing-messages.ts';

/** An earlier scan faded over the one that is shown, in one colour. */
export interface EarlierLayer {
  readonly object: Group;
  /** Null = no earlier scan. */
  set(earlier: EarlierShown | null): void;
  setColour(colour: string): void;
  dispose(): void;
}

const VERTEX = `
varying vec3 vNormal;
void main() {
  vNormal = normalize(normalMatrix * normal);
  gl_Position = projectionMatrix * modelViewMatrix * vec4(position, 1.0);
}`;
const FRAGMENT = `
uniform vec3 uColour;
uniform float uShare;
varying vec3 vNormal;
void main() {
  vec3 n = normalize(vNormal);
  float light = 0.35 + 0.55 * abs(n.z) + 0.15 * max(0.0, n.y);
  gl_FragColor = vec4(uColour * light, uShare);
  #include <colorspace_fragment>
}`;
/** After everything else: first its depths alone, then its colour where it is nearest to the eye. */
const DEPTH_ORDER = 10;

/**
 * Two pictures laid over each other rather than two bodies in one space: the depths of the scan below are forgotten, so
 * that the earlier scan shows whole at every share, also where it lies behind the new surface.
 */
export function makeEarlierLayer(): EarlierLayer {
  const object = new Group();
  object.matrixAutoUpdate = false;
  object.visible = false;
  const depth = new ShaderMaterial({ vertexShader: VERTEX, fragmentShader: FRAGMENT, colorWrite: false });
  const colour = new ShaderMaterial({
    vertexShader: VERTEX,
    fragmentShader: FRAGMENT,
    transparent: true,
    depthWrite: false,
    depthFunc: LessEqualDepth,
    uniforms: { uColour: { value: new Color('#8f9bd6') }, uShare: { value: 0 } },
  });
  depth.uniforms = colour.uniforms;
  // Both are drawn after what is opaque, in this order.
  depth.transparent = true;
  let geometry = new BufferGeometry();
  const below = new Mesh(geometry, depth);
  const above = new Mesh(geometry, colour);
  below.renderOrder = DEPTH_ORDER;
  above.renderOrder = DEPTH_ORDER + 1;
  below.frustumCulled = false;
  above.frustumCulled = false;
  below.onBeforeRender = (renderer: WebGLRenderer) => renderer.clearDepth();
  object.add(below, above);
  let shown: string | null = null;

  function put(next: BufferGeometry): void {
    geometry.dispose();
    geometry = next;
    below.geometry = next;
    above.geometry = next;
  }

  return {
    object,
    set(earlier) {
      object.visible = earlier !== null && earlier.share > 0;
      if (earlier === null) {
        // A scan of a case that is no longer open is not held on to.
        if (shown !== null) put(new BufferGeometry());
        shown = null;
        return;
      }
      const { scanId, scan, motion, share } = earlier;
      colour.uniforms.uShare!.value = share;
      object.matrix.copy(matrixOf(motion));
      object.matrixWorldNeedsUpdate = true;
      if (shown === scanId || scan === null) return;
      shown = scanId;
      const next = new BufferGeometry();
      next.setAttribute('position', new BufferAttribute(scan.positions, 3));
      next.setAttribute('normal', new BufferAttribute(scan.normals, 3));
      next.setIndex(new BufferAttribute(scan.triangles, 1));
      put(next);
    },
    setColour(text) {
      if (text !== '') colour.uniforms.uColour!.value.set(text);
    },
    dispose() {
      geometry.dispose();
      depth.dispose();
      colour.dispose();
    },
  };
}

function matrixOf({ rotation: r, translation: t }: RigidMotion): Matrix4 {
  return new Matrix4().set(
    r[0]!,
    r[1]!,
    r[2]!,
    t[0],
    r[3]!,
    r[4]!,
    r[5]!,
    t[1],
    r[6]!,
    r[7]!,
    r[8]!,
    t[2],
    0,
    0,
    0,
    1,
  );
}
