import { Color, GLSL3, ShaderMaterial, Vector2, Vector3, Vector4 } from 'three';
import { SLOT_COUNT } from './display-mesh.ts';

/**
 * The two materials of the view. Both move a crown by tables in `uMove` and `uCentre`, so that playing the stages
 * costs one upload of 33 rows a frame. Own shaders instead of a stock material: the light stands still relative to
 * the eye and is tuned to show embrasures, and a software renderer needs few instructions per pixel.
 */

/** Tables shared by the surface and its outlines: changing them moves both. */
export interface CrownTables {
  readonly uMove: { value: Vector4[] };
  readonly uCentre: { value: Vector3[] };
  readonly uAxis: { value: Vector3 };
}

export function makeCrownTables(): CrownTables {
  return {
    // Its fourth, an angle, is one radian unless it is said.
    uMove: { value: Array.from({ length: SLOT_COUNT }, () => new Vector4(0, 0, 0, 0)) },
    uCentre: { value: Array.from({ length: SLOT_COUNT }, () => new Vector3()) },
    uAxis: { value: new Vector3(0, 0, 1) },
  };
}

const MOVE_CROWN = /* glsl */ `
uniform vec4 uMove[${SLOT_COUNT}];
uniform vec3 uCentre[${SLOT_COUNT}];
uniform vec3 uAxis;

vec3 turnAboutAxis(vec3 v, float angle) {
  float c = cos(angle);
  return v * c + cross(uAxis, v) * sin(angle) + uAxis * dot(uAxis, v) * (1.0 - c);
}
vec3 moveCrown(vec3 p, int slot) {
  vec4 move = uMove[slot];
  return uCentre[slot] + turnAboutAxis(p - uCentre[slot], move.w) + move.xyz;
}
`;

const SURFACE_VERTEX = /* glsl */ `
in vec4 paint;
in float shade;
uniform vec3 uTint[${SLOT_COUNT}];
uniform vec3 uLift[${SLOT_COUNT}];
uniform float uScanColours;
out vec3 vNormal;
out vec3 vAlbedo;
out float vShade;
out float vGloss;
${MOVE_CROWN}
void main() {
  int slot = int(paint.w + 0.5);
  vec3 scanColour = pow(paint.rgb / 255.0, vec3(2.2));
  vAlbedo = mix(uTint[slot], scanColour, uScanColours) + uLift[slot];
  vShade = shade;
  vGloss = slot == 0 ? 0.5 : 1.0;
  vNormal = normalMatrix * turnAboutAxis(normal, uMove[slot].w);
  gl_Position = projectionMatrix * modelViewMatrix * vec4(moveCrown(position, slot), 1.0);
}
`;

const SURFACE_FRAGMENT = /* glsl */ `
in vec3 vNormal;
in vec3 vAlbedo;
in float vShade;
in float vGloss;
uniform vec3 uInside;
out vec4 outColour;

const vec3 KEY = vec3(-0.424, 0.594, 0.684);
const vec3 FILL = vec3(0.844, -0.105, 0.527);

void main() {
  vec3 n = normalize(vNormal);
  vec3 albedo = vAlbedo;
  if (!gl_FrontFacing) {
    n = -n;
    albedo = uInside;
  }
  float hemisphere = 0.5 + 0.5 * n.y;
  vec3 ambient = mix(vec3(0.30, 0.285, 0.275), vec3(0.50, 0.52, 0.54), hemisphere);
  float key = clamp((dot(n, KEY) + 0.18) / 1.18, 0.0, 1.0);
  float fill = clamp(dot(n, FILL), 0.0, 1.0);
  float front = clamp(n.z, 0.0, 1.0);
  vec3 light = ambient + vec3(0.50, 0.488, 0.465) * key + vec3(0.10, 0.11, 0.125) * fill + 0.06 * front;
  float crevice = vShade * vShade * (3.0 - 2.0 * vShade);
  light *= mix(vec3(1.0), vec3(0.36, 0.31, 0.29), crevice);
  // The rim darkens a little, so that crowns stand out from the ground and from one another.
  light *= 1.0 - 0.30 * pow(1.0 - front, 3.0);
  vec3 halfway = normalize(KEY + vec3(0.0, 0.0, 1.0));
  float gloss = pow(clamp(dot(n, halfway), 0.0, 1.0), 48.0) * 0.10 * vGloss * (1.0 - crevice);
  outColour = vec4(albedo * light + gloss, 1.0);
  outColour = linearToOutputTexel(outColour);
}
`;

export interface SurfaceMaterial {
  readonly material: ShaderMaterial;
  readonly tint: Color[];
  /** Light added to a crown that is pointed at or selected. */
  readonly lift: Color[];
  readonly inside: Color;
  setScanColours(on: boolean): void;
}

export function makeSurfaceMaterial(tables: CrownTables): SurfaceMaterial {
  const tint = Array.from({ length: SLOT_COUNT }, () => new Color(0.7, 0.7, 0.7));
  const lift = Array.from({ length: SLOT_COUNT }, () => new Color(0, 0, 0));
  const inside = new Color(0.3, 0.3, 0.3);
  const scanColours = { value: 0 };
  const material = new ShaderMaterial({
    glslVersion: GLSL3,
    vertexShader: SURFACE_VERTEX,
    fragmentShader: SURFACE_FRAGMENT,
    uniforms: {
      ...tables,
      uTint: { value: tint },
      uLift: { value: lift },
      uInside: { value: inside },
      uScanColours: scanColours,
    },
    side: 2,
  });
  return {
    material,
    tint,
    lift,
    inside,
    setScanColours: (on) => {
      scanColours.value = on ? 1 : 0;
    },
  };
}

const LINE_VERTEX = /* glsl */ `
in vec3 from;
in vec3 to;
in float slot;
uniform vec2 uViewport;
uniform float uWidthPx;
uniform float uTowardsEyeMm;
${MOVE_CROWN}
vec4 project(vec3 p) {
  vec4 eye = modelViewMatrix * vec4(moveCrown(p, int(slot + 0.5)), 1.0);
  eye.z += uTowardsEyeMm;
  return projectionMatrix * eye;
}
void main() {
  vec4 a = project(from);
  vec4 b = project(to);
  vec2 along = (b.xy - a.xy) * uViewport;
  float lengthPx = length(along);
  along = lengthPx > 1e-4 ? along / lengthPx : vec2(1.0, 0.0);
  vec2 across = vec2(-along.y, along.x);
  vec4 end = position.x < 0.5 ? a : b;
  // Half a width beyond each end closes the joints.
  vec2 offset = across * position.y * 0.5 * uWidthPx + along * (position.x - 0.5) * uWidthPx;
  end.xy += offset * 2.0 / uViewport;
  gl_Position = end;
}
`;

const LINE_FRAGMENT = /* glsl */ `
uniform vec3 uColour;
out vec4 outColour;
void main() {
  outColour = linearToOutputTexel(vec4(uColour, 1.0));
}
`;

export interface LineMaterial {
  readonly material: ShaderMaterial;
  readonly colour: Color;
  /** Size of the drawing buffer and width of the line, both in device pixels. */
  setPixels(width: number, height: number, lineWidth: number): void;
}

/** Wide lines (own quads: WebGL draws only hairlines), a little nearer to the eye than the surface they lie on. */
export function makeLineMaterial(tables: CrownTables, towardsEyeMm: number): LineMaterial {
  const colour = new Color(0.1, 0.1, 0.1);
  const viewport = new Vector2(1, 1);
  const width = { value: 1 };
  const material = new ShaderMaterial({
    glslVersion: GLSL3,
    vertexShader: LINE_VERTEX,
    fragmentShader: LINE_FRAGMENT,
    uniforms: {
      ...tables,
      uViewport: { value: viewport },
      uWidthPx: width,
      uTowardsEyeMm: { value: towardsEyeMm },
      uColour: { value: colour },
    },
    side: 2,
  });
  return {
    material,
    colour,
    setPixels: (w, h, lineWidth) => {
      viewport.set(w, h);
      width.value = lineWidth;
    },
  };
}
