// Words on the stage: the sides of the bench, and the name of each loop beside its coolant.
import { Box3, Vector3 } from 'three';

const HIGH = 21; // CSS pixels from word to word

export class Labels {
  constructor(stage, parts, cut) {
    this.cut = cut;
    this.stage = stage;
    this.on = true;
    const b = stage.box;
    const c = b.getCenter(new Vector3());
    const off = 14;
    this.centre = c;
    this.list = [
      word(stage, 'front', 'side', new Vector3(c.x, b.min.y - off, b.min.z)),
      word(stage, 'back', 'side', new Vector3(c.x, b.max.y + off, b.min.z)),
      word(stage, 'left', 'side', new Vector3(b.min.x - off, c.y, b.min.z)),
      word(stage, 'right', 'side', new Vector3(b.max.x + off, c.y, b.min.z)),
    ];
    for (const part of parts) {
      if (part.kind === 'coolant') this.list.push({ ...word(stage, part.loop, 'loop', middle(part)), part });
      if (part.kind === 'plate') this.list.push({ ...word(stage, part.name, 'plate', corner(part)), part });
    }
    this.up = word(stage, '↑ up', 'side', c.clone());
    this.up.element.hidden = true;
    stage.after.push(() => this.place());
  }

  /** Where the word for up stands; nowhere while all of it stands as drawn. */
  stand(up) {
    this.list = this.list.filter((l) => l !== this.up);
    this.up.element.hidden = true;
    if (!up) return;
    const b = this.stage.box;
    const size = b.getSize(new Vector3());
    const reach = (Math.abs(up[0]) * size.x + Math.abs(up[1]) * size.y + Math.abs(up[2]) * size.z) / 2 + 22;
    this.up.at = b.getCenter(new Vector3()).addScaledVector(new Vector3(...up), reach);
    this.list.unshift(this.up);
  }

  /** Whether a side of the bench is not straight behind everything. */
  faces(p) {
    const out = p.clone().sub(this.centre).setZ(0).normalize();
    const way = this.stage.camera.position.clone().sub(this.stage.controls.target).normalize();
    return out.dot(way) > -0.9;
  }

  place() {
    const taken = [];
    for (const l of this.list) {
      const p = l.part ? l.at.clone().add(l.part.root.position) : l.at;
      const there = l.part ? l.part.shown && !this.cut.gone(p) : l === this.up || this.faces(p);
      const on = this.on && there && this.stage.seen(p);
      l.element.hidden = !on;
      if (!on) continue;
      l.half ??= l.element.offsetWidth / 2;
      on.y = free(taken, on, l.half);
      taken.push({ x: on.x, y: on.y, half: l.half });
      l.element.style.transform = `translate(${on.x.toFixed(1)}px, ${on.y.toFixed(1)}px) translate(-50%, -50%)`;
    }
  }
}

/** The height nearest to the wanted one at which a word covers no word before it. */
function free(taken, at, half) {
  for (const step of [0, 1, -1, 2, -2, 3, -3]) {
    const y = at.y + step * HIGH;
    if (!taken.some((t) => Math.abs(t.y - y) < HIGH && Math.abs(t.x - at.x) < t.half + half)) return y;
  }
  return at.y;
}

function box(part) {
  part.root.updateMatrixWorld(true);
  return new Box3().setFromObject(part.body);
}

/** Where a loop's name stands: a little above the middle of its coolant. */
function middle(part) {
  const b = box(part);
  return b.getCenter(new Vector3()).setZ(b.min.z + 0.68 * (b.max.z - b.min.z));
}

function corner(part) {
  const b = box(part);
  return new Vector3(b.max.x, b.min.y, (b.min.z + b.max.z) / 2);
}

function word(stage, text, kind, at) {
  const element = document.createElement('span');
  element.className = `word ${kind}`;
  element.textContent = text;
  element.setAttribute('aria-hidden', 'true');
  stage.host.append(element);
  return { element, at };
}
