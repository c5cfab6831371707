// Marks: findings and joints on the stage, reached from their lists; the view turns to the one that is chosen.
import { BufferGeometry, Float32BufferAttribute, LineBasicMaterial, LineDashedMaterial, LineSegments, Vector3 } from 'three';
import { CORNER } from './stage.js';

const WIDE = { flow: 42, pockets: 88 }; // CSS pixels of a mark with a figure
const NEAR = 95; // mm round a mark that the picture shows

export class Marks {
  constructor(stage, list, parts, cut) {
    this.cut = cut;
    this.uncover = () => {}; // called before a place that is cut away is shown
    this.reveal = () => {}; // called before a passage is shown
    this.turnTo = () => {}; // called before a pocket is shown that is there in another way to stand
    this.pose = ''; // the way to stand whose pockets are shown
    this.stage = stage;
    this.byName = new Map(parts.map((p) => [p.name, p]));
    this.marks = list.map((m) => this.made(m));
    this.tie = new LineSegments(new BufferGeometry(), new LineBasicMaterial({ color: 0x9b1c12, depthTest: false }));
    this.tie.renderOrder = 99;
    this.tie.visible = false;
    stage.scene.add(this.tie);
    stage.before.push(() => {
      for (const m of this.marks) {
        if (!m.box) continue;
        m.box.position.copy(this.at(m)[0]);
        m.box.visible = !m.hidden && this.stands(m) && (m === this.chosen || !this.cut.gone(m.box.position));
      }
    });
    stage.after.push(() => this.place());
  }

  made(m) {
    const button = document.createElement('button');
    button.type = 'button';
    button.className = `mark ${m.kind}`;
    button.textContent = m.sign;
    button.setAttribute('aria-label', m.label);
    button.title = m.label;
    button.addEventListener('click', () => { this.show(m.key); this.told(m.key); });
    this.stage.host.append(button);
    const box = m.size ? frame(m) : null;
    if (box) this.stage.scene.add(box);
    return { ...m, button, box, at: m.at.map((p) => new Vector3(...p)) };
  }

  /** Whether a mark belongs to the way in which all of it stands now. */
  stands(m) {
    return !m.pose || m.pose === this.pose;
  }

  /** Where a mark stands now: it goes along with the first of its parts that is there. */
  at(mark) {
    const part = mark.parts.map((n) => this.byName.get(n)).find(Boolean);
    const moved = part ? part.root.position : new Vector3();
    return mark.at.map((p) => p.clone().add(moved));
  }

  place() {
    const taken = new Map();
    const words = []; // where figures of passages and pockets stand: small ones make way
    // the chosen one first: it stands, whatever else would
    for (const m of [...this.marks].sort((a, b) => (b === this.chosen) - (a === this.chosen))) {
      const [first] = this.at(m);
      const on = !m.hidden && this.stands(m) && (m === this.chosen || !this.cut.gone(first)) && this.stage.seen(first);
      m.button.hidden = !on || (m.group in WIDE && crowded(words, on, WIDE[m.group]));
      if (m.button.hidden) continue;
      // several at one place stand side by side
      const key = `${Math.round(on.x / 8)} ${Math.round(on.y / 8)}`;
      on.x += 20 * (taken.get(key) ?? 0);
      taken.set(key, (taken.get(key) ?? 0) + 1);
      m.button.style.transform = `translate(${on.x.toFixed(1)}px, ${on.y.toFixed(1)}px) translate(-50%, -50%)`;
    }
  }

  /** Show or hide all marks of a group. */
  visible(group, on) {
    for (const m of this.marks) if (m.group === group) m.hidden = !on;
    this.stage.draw();
  }

  /** Turn the view to a mark, from the side on which it lies, and say so. */
  show(key) {
    const mark = this.marks.find((m) => m.key === key);
    if (!mark) return;
    const places = this.at(mark);
    const middle = places.reduce((a, p) => a.add(p), new Vector3()).divideScalar(places.length);
    const centre = this.stage.box.getCenter(new Vector3());
    const out = middle.clone().sub(centre);
    const size = this.stage.box.getSize(new Vector3());
    const way = CORNER.clone();
    if (Math.abs(out.y) > 0.15 * size.y && out.y > 0) way.y = -way.y;
    if (out.x < 0) way.x = -way.x;
    if (out.z < -0.05 * size.z) way.z = -way.z;
    const spread = places.length > 1 ? places[0].distanceTo(places[1]) : 0;
    const off = Math.max(NEAR, 2.5 * spread) / Math.tan((this.stage.camera.fov / 2) * (Math.PI / 180));
    if (places.some((p) => this.cut.gone(p))) this.uncover();
    this.tie.visible = places.length > 1;
    if (this.tie.visible) {
      this.tie.geometry.setAttribute('position', new Float32BufferAttribute(places.slice(0, 2).flatMap((p) => p.toArray()), 3));
      this.tie.geometry.computeBoundingSphere();
    }
    for (const m of this.marks) m.button.classList.toggle('chosen', m === mark);
    mark.hidden = false;
    if (!this.stands(mark)) this.turnTo(mark.pose);
    if (mark.group === 'flow') this.reveal();
    this.chosen = mark;
    this.stage.turn(middle, way, off);
    this.stage.host.dataset.shown = key;
  }

  /** Mark the entry in the list that belongs to a mark. */
  told(key) {
    const entry = document.querySelector(`[data-mark="${CSS.escape(key)}"]`)?.closest('li, tr');
    const folded = entry?.closest('details');
    if (folded) folded.open = true;
    entry?.scrollIntoView({ block: 'nearest' });
  }
}

/** Whether a word would cover one that stands already; if not it stands from now on. */
function crowded(words, at, wide) {
  if (words.some((w) => Math.abs(w.x - at.x) < (w.wide + wide) / 2 && Math.abs(w.y - at.y) < 24)) return true;
  words.push({ x: at.x, y: at.y, wide });
  return false;
}

/** The box that holds a pocket, about its middle: unbroken lines for air, dashes for coolant. */
function frame(m) {
  const sides = m.axes.map((a, i) => new Vector3(...a).multiplyScalar(m.size[i] / 2));
  const corner = (n) => sides.reduce((p, s, i) => p.addScaledVector(s, n & (1 << i) ? 1 : -1), new Vector3());
  const points = [];
  for (let n = 0; n < 8; n += 1) for (let i = 0; i < 3; i += 1) if (!(n & (1 << i))) points.push(corner(n), corner(n | (1 << i)));
  const look = { color: m.kind === 'air' ? 0x12308a : 0x17212b, depthTest: false, transparent: true };
  const line = new LineSegments(new BufferGeometry().setFromPoints(points),
    m.kind === 'air' ? new LineBasicMaterial(look) : new LineDashedMaterial({ ...look, dashSize: 3, gapSize: 2 }));
  line.computeLineDistances();
  line.renderOrder = 95;
  line.visible = false;
  return line;
}
