// The distance between two points that one picks: on edges' ends, on the centres of round mouths, or anywhere on a face.
import { BufferGeometry, Float32BufferAttribute, LineBasicMaterial, LineSegments, Raycaster, Vector2, Vector3 } from 'three';

const CATCH = 10; // CSS pixels within which a corner or a centre draws the pick to itself
const NEAR = 0.012; // m: corners farther than this from the pick are not looked at
const HIDDEN = 3; // mm that it may lie behind what is seen there

export class Distance {
  constructor(stage, parts, cut, mouths, say) {
    Object.assign(this, { stage, parts, cut, say });
    this.mouths = mouths.map(([name, at, plate]) => ({ name, at: new Vector3(...at), plate }));
    this.picked = [];
    this.on = false;
    this.ray = new Raycaster();
    this.line = new LineSegments(new BufferGeometry(), new LineBasicMaterial({ color: 0x12308a, depthTest: false }));
    this.line.renderOrder = 100;
    this.line.visible = false;
    stage.scene.add(this.line);
    this.pins = [pin(stage.host, 'A'), pin(stage.host, 'B')];
    stage.after.push(() => this.place());
    let down = null;
    stage.canvas.addEventListener('pointerdown', (e) => { down = [e.clientX, e.clientY]; });
    stage.canvas.addEventListener('pointerup', (e) => {
      if (!this.on || !down || Math.hypot(e.clientX - down[0], e.clientY - down[1]) > 5) return;
      const r = stage.canvas.getBoundingClientRect();
      this.pick(e.clientX - r.left, e.clientY - r.top);
    });
  }

  start(on) {
    this.on = on;
    this.stage.host.classList.toggle('measuring', on);
    if (on) this.say('Pick two points. With the keyboard: turn and shift the view until the cross lies on the point, then Enter.');
    else this.forget();
  }

  forget() {
    this.picked = [];
    this.line.visible = false;
    this.stage.draw();
  }

  /** Take the point seen at (x, y) of the canvas, in CSS pixels. */
  pick(x, y) {
    const { clientWidth: w, clientHeight: h } = this.stage.host;
    const hit = this.hit(new Vector2((2 * x) / w - 1, 1 - (2 * y) / h));
    const caught = this.caught(hit, x, y);
    if (!caught.at) { this.say('Nothing is there to measure from.'); return; }
    if (this.picked.length === 2) this.picked = [];
    this.picked.push(caught);
    if (this.picked.length === 2) this.tell();
    else { this.line.visible = false; this.say(`From ${caught.name}. Pick the second point.`); }
    this.stage.draw();
  }

  /** First thing on the ray that is not cut away; a back face means that the ray went in through the cut. */
  hit(screen) {
    this.ray.setFromCamera(screen, this.stage.camera);
    const there = (p) => p.kind !== 'coolant' && !(p.kind === 'room' && p.clear); // one reaches through a clear room
    const bodies = this.parts.filter((p) => p.shown && there(p)).map((p) => p.body);
    const found = this.ray.intersectObjects(bodies, false).find((i) => !this.cut.gone(i.point));
    if (!found) return null;
    const part = this.parts.find((p) => p.body === found.object);
    const normal = found.face.normal.clone().transformDirection(found.object.matrixWorld);
    if (this.cut.axis && normal.dot(this.ray.ray.direction) > 0) {
      const on = this.ray.ray.intersectPlane(this.cut.plane, new Vector3());
      if (on) return { at: on, part, where: `cut face of ${part.name}` };
    }
    return { at: found.point, part, where: `face of ${part.name}` };
  }

  caught(hit, x, y) {
    let best = { off: CATCH, at: hit?.at, name: hit?.where };
    const eye = this.stage.camera.position;
    const deep = hit ? eye.distanceTo(hit.at) + HIDDEN : Infinity;
    const consider = (at, name, worth) => {
      if (this.cut.gone(at) || eye.distanceTo(at) > deep) return;
      const s = this.stage.seen(at);
      const off = s ? Math.hypot(s.x - x, s.y - y) - worth : Infinity;
      if (off < best.off) best = { off, at, name };
    };
    for (const m of this.mouths) {
      const plate = this.parts.find((p) => p.name === m.plate);
      if (plate?.shown) consider(m.at.clone().add(plate.root.position), `centre of ${m.name}`, 2);
    }
    const edges = hit?.part.edges;
    if (edges?.visible) {
      const points = edges.geometry.attributes.position;
      const here = edges.worldToLocal(hit.at.clone());
      const p = new Vector3();
      for (let i = 0; i < points.count; i += 1) {
        p.fromBufferAttribute(points, i);
        if (p.distanceToSquared(here) < NEAR * NEAR) consider(edges.localToWorld(p.clone()), `edge of ${hit.part.name}`, 0);
      }
    }
    return best;
  }

  tell() {
    const [a, b] = this.picked.map((p) => p.at);
    const d = b.clone().sub(a);
    const mm = (v) => Math.abs(v).toFixed(2);
    this.line.geometry.setAttribute('position', new Float32BufferAttribute([...a.toArray(), ...b.toArray()], 3));
    this.line.geometry.computeBoundingSphere();
    this.line.visible = true;
    this.say(`${d.length().toFixed(2)} mm from ${this.picked[0].name} to ${this.picked[1].name}: `
      + `${mm(d.x)} left to right, ${mm(d.y)} front to back, ${mm(d.z)} in height.`);
  }

  place() {
    this.pins.forEach((element, i) => {
      const p = this.picked[i];
      const on = p && this.stage.seen(p.at);
      element.hidden = !on;
      if (on) element.style.transform = `translate(${on.x.toFixed(1)}px, ${on.y.toFixed(1)}px)`;
    });
  }
}

function pin(host, letter) {
  const made = document.createElement('span');
  made.className = 'pin';
  made.textContent = letter;
  made.hidden = true;
  host.append(made);
  return made;
}
