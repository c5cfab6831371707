// Hatches on the screen's own raster, as a drawing has them: a loop is told apart without its colour.

const KINDS = ['none', 'dots', 'level', 'crossed', 'upright', 'dashes', 'squares', 'rising', 'falling', 'metal', 'lemat'];

const GLSL = `
uniform float hatchKind; uniform float hatchScale; uniform float hatchInk;
float stroke(float v, float period, float width) { return step(mod(v, period), width); }
float hatched(vec2 p) {
  if (hatchKind < 0.5) return 0.0;
  if (hatchKind < 1.5) return step(length(mod(p + vec2(0.0, 3.5 * step(7.0, mod(p.x, 14.0))), 7.0) - 3.5), 1.3);
  if (hatchKind < 2.5) return stroke(p.y, 6.0, 1.3);
  if (hatchKind < 3.5) return max(stroke(p.x + p.y, 11.0, 1.6), stroke(p.x - p.y, 11.0, 1.6));
  if (hatchKind < 4.5) return stroke(p.x, 6.0, 1.3);
  if (hatchKind < 5.5) return stroke(p.y, 6.0, 1.5) * step(mod(p.x + 5.0 * step(6.0, mod(p.y, 12.0)), 10.0), 6.0);
  if (hatchKind < 6.5) return max(stroke(p.x, 8.0, 1.2), stroke(p.y, 8.0, 1.2));
  if (hatchKind < 7.5) return stroke(p.x - p.y, 9.0, 1.8);
  if (hatchKind < 8.5) return stroke(p.x + p.y, 9.0, 1.8);
  if (hatchKind < 9.5) return stroke(p.x - p.y, 12.0, 1.2);
  return stroke(p.x + p.y, 12.0, 1.2);
}`;

/** Lay a hatch over what the material draws; `ink` is how dark its strokes are, 0 to 1. */
export function hatch(material, kind, ink) {
  const uniforms = {
    hatchKind: { value: Math.max(0, KINDS.indexOf(kind)) }, hatchInk: { value: ink }, hatchScale: { value: Math.min(devicePixelRatio, 2) },
  };
  material.onBeforeCompile = (shader) => {
    Object.assign(shader.uniforms, uniforms);
    shader.fragmentShader = shader.fragmentShader
      .replace('void main() {', `${GLSL}\nvoid main() {`)
      .replace('#include <dithering_fragment>', `#include <dithering_fragment>
        gl_FragColor.rgb *= 1.0 - hatchInk * hatched(gl_FragCoord.xy / hatchScale);`);
  };
  material.customProgramCacheKey = () => 'hatch';
  material.userData.hatch = uniforms;
  return material;
}
