// Words on the stage: the sides of the bench, and the name of each loop beside its coolant.
import { Box3, Vector3 } from 'three';

export class Labels {
  constructor(stage, parts) {
    this.stage = stage;
    this.on = true;
    const b = stage.box;
    const c = b.getCenter(new Vector3());
    const off = 14;
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
    stage.after.push(() => this.place());
  }

  place() {
    for (const l of this.list) {
      const p = l.part ? l.at.clone().add(l.part.root.position) : l.at;
      const on = this.on && (!l.part || l.part.shown) && this.stage.seen(p);
      l.element.hidden = !on;
      if (on) l.element.style.transform = `translate(${on.x.toFixed(1)}px, ${on.y.toFixed(1)}px) translate(-50%, -50%)`;
    }
  }
}

function box(part) {
  part.root.updateMatrixWorld(true);
  return new Box3().setFromObject(part.body);
}

function middle(part) {
  return box(part).getCenter(new Vector3());
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
