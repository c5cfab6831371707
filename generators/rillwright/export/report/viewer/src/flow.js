// Passages as rods along their middle lines: the thicker and darker, the faster; cones point along.
import { BufferGeometry, Color, Float32BufferAttribute, Group, Mesh, MeshPhongMaterial, Vector3 } from 'three';

const [THIN, THICK] = [0.6, 3.2]; // mm, radius of coolant that stands and of the fastest
const [SLOW, FAST] = [new Color(0x8fa3d6), new Color(0x0c1f63)];
const SIDES = 10;
const APART = 22; // mm from point to point

export class Flow {
  constructor(stage, passages, parts, planes) {
    this.group = new Group();
    this.group.visible = false;
    const fastest = passages.reduce((a, p) => (p.velocity > a.velocity ? p : a), { velocity: 1e-9, name: '' });
    const most = fastest.velocity;
    this.fastest = `${most.toFixed(2)} m/s in ${fastest.name}`;
    this.rods = passages.map((p) => {
      const share = p.velocity / most;
      const material = new MeshPhongMaterial({ color: SLOW.clone().lerp(FAST, share), shininess: 10, clippingPlanes: planes, transparent: true });
      const rod = new Mesh(shape(p.points.map((q) => new Vector3(...q)), THIN + (THICK - THIN) * share), material);
      rod.renderOrder = 90;
      this.group.add(rod);
      return { rod, part: p.parts.map((n) => parts.find((q) => q.name === n)).find(Boolean) };
    });
    // drawn over everything else, yet one before the other as they lie
    if (this.rods.length) {
      const [{ rod: first }] = this.rods;
      first.renderOrder = 89;
      first.onBeforeRender = (renderer) => renderer.clearDepth();
      for (const { rod } of this.rods) rod.frustumCulled = false;
    }
    stage.scene.add(this.group);
    stage.before.push(() => this.follow());
  }

  /** What is seen, in words. */
  told() {
    if (!this.rods.length) return 'No flow was worked out for this job.';
    return `Rods show the passages: thick and dark is fast, cones point along, figures are m/s. The fastest: ${this.fastest}.`;
  }

  /** Go along with the parts when they are pulled apart. */
  follow() {
    for (const { rod, part } of this.rods) if (part) rod.position.copy(part.root.position);
  }
}

/** A round rod along points, closed at both ends, with cones on it that point along. */
function shape(points, radius) {
  const made = { at: [], normal: [], index: [] };
  const rings = points.map((p, i) => {
    const into = i > 0 ? way(points[i - 1], p) : way(p, points[1]);
    const out = i < points.length - 1 ? way(p, points[i + 1]) : into;
    const along = into.clone().add(out).normalize();
    return { p, along };
  });
  let side = null;
  rings.forEach(({ p, along }, i) => {
    side = across(along, side);
    ring(made, p, side, along, radius, 0);
    if (i) join(made);
  });
  cap(made, rings[0].p, rings[0].along.clone().negate(), radius);
  cap(made, rings.at(-1).p, rings.at(-1).along, radius);
  for (const { p, along } of cones(points)) cone(made, p, along, radius);
  const g = new BufferGeometry();
  g.setAttribute('position', new Float32BufferAttribute(made.at, 3));
  g.setAttribute('normal', new Float32BufferAttribute(made.normal, 3));
  g.setIndex(made.index);
  return g;
}

const way = (a, b) => b.clone().sub(a).normalize();

/** A direction square to `along`, turned as little as can be from the one before. */
function across(along, before) {
  const s = before?.clone() ?? new Vector3(...(Math.abs(along.z) < 0.9 ? [0, 0, 1] : [1, 0, 0]));
  s.addScaledVector(along, -s.dot(along));
  return s.lengthSq() > 1e-6 ? s.normalize() : across(along, null);
}

/** Points round `p`; `lean` is how far their normals lean towards `along`. */
function ring(made, p, side, along, radius, lean) {
  const up = new Vector3().crossVectors(along, side);
  for (let i = 0; i < SIDES; i += 1) {
    const a = (2 * Math.PI * i) / SIDES;
    const n = side.clone().multiplyScalar(Math.cos(a)).addScaledVector(up, Math.sin(a));
    made.at.push(...p.clone().addScaledVector(n, radius).toArray());
    made.normal.push(...n.addScaledVector(along, lean).normalize().toArray());
  }
}

/** Faces between the last two rings. */
function join(made) {
  const b = made.at.length / 3 - SIDES;
  const a = b - SIDES;
  for (let i = 0; i < SIDES; i += 1) {
    const j = (i + 1) % SIDES;
    made.index.push(a + i, a + j, b + j, a + i, b + j, b + i);
  }
}

function cap(made, p, out, radius) {
  ring(made, p, across(out, null), out, radius, 4);
  const b = made.at.length / 3 - SIDES;
  for (let i = 1; i < SIDES - 1; i += 1) made.index.push(b, b + i, b + i + 1);
}

function cone(made, p, along, radius) {
  const [wide, long] = [1.5 * radius + 1, 2 * radius + 3];
  const side = across(along, null);
  const foot = p.clone().addScaledVector(along, -long / 2);
  ring(made, foot, side, along, wide, wide / long);
  ring(made, p.clone().addScaledVector(along, long / 2), side, along, 0.01, wide / long);
  join(made);
  cap(made, foot, along.clone().negate(), wide);
}

/** Places for cones: evenly along the line, one in the middle of a short one. */
function cones(points) {
  const lengths = points.slice(1).map((p, i) => p.distanceTo(points[i]));
  const whole = lengths.reduce((a, b) => a + b, 0);
  const count = Math.max(1, Math.floor(whole / APART));
  const found = [];
  let [i, passed] = [0, 0];
  for (let n = 0; n < count; n += 1) {
    const s = (whole * (n + 0.5)) / count;
    while (i < lengths.length - 1 && passed + lengths[i] < s) { passed += lengths[i]; i += 1; }
    const along = way(points[i], points[i + 1]);
    found.push({ p: points[i].clone().addScaledVector(along, s - passed), along });
  }
  return found;
}
