// The stage: light, camera, and drawing only when something has changed.
import { Box3, Color, DirectionalLight, HemisphereLight, PerspectiveCamera, Quaternion, Scene, Vector3, WebGLRenderer } from 'three';
import { OrbitControls } from 'three/addons/controls/OrbitControls.js';

const GROUND = 0xe3e6e4;
export const CORNER = new Vector3(0.5, -1, 0.48).normalize();
const calm = matchMedia('(prefers-reduced-motion: reduce)');

export class Stage {
  constructor(host) {
    this.host = host;
    this.renderer = new WebGLRenderer({ antialias: true, stencil: true, preserveDrawingBuffer: true });
    this.renderer.localClippingEnabled = true;
    this.renderer.setPixelRatio(Math.min(devicePixelRatio, 2));
    this.canvas = this.renderer.domElement;
    host.prepend(this.canvas);
    this.scene = new Scene();
    this.scene.background = new Color(GROUND);
    this.camera = new PerspectiveCamera(26, 1, 1, 1e5);
    this.camera.up.set(0, 0, 1);
    this.scene.add(new HemisphereLight(0xffffff, 0x9aa3a8, 2.1), this.camera);
    const lamp = new DirectionalLight(0xffffff, 1.7);
    lamp.position.set(-0.5, 0.7, 1);
    this.camera.add(lamp);
    this.after = [];
    this.before = [];
    this.box = new Box3();
    this.controls = this.steered();
    this.homed = false; // the whole is shown, from a side that was asked for
    this.draws = 0;
    new ResizeObserver(() => this.resize()).observe(host);
  }

  resize() {
    const { clientWidth: w, clientHeight: h } = this.host;
    if (!w || !h) return;
    this.renderer.setSize(w, h);
    this.camera.aspect = w / h;
    this.camera.updateProjectionMatrix();
    if (this.homed) this.settle(this.aim);
    this.drawNow();
  }

  /** Draw once before the next frame, however often it is asked. */
  draw() {
    this.waiting ??= requestAnimationFrame(() => this.drawNow());
  }

  drawNow() {
    if (this.waiting) cancelAnimationFrame(this.waiting);
    this.waiting = null;
    for (const first of this.before) first();
    this.renderer.render(this.scene, this.camera);
    for (const then of this.after) then();
    this.host.dataset.drawn = ++this.draws;
    this.host.dataset.eye = this.camera.position.toArray().map((v) => v.toFixed(2)).join(' ');
  }

  /** How far from `centre`, looking along −`way`, the camera sees every corner of `box`. */
  distance(box, centre, way) {
    const half = Math.tan((this.camera.fov / 2) * (Math.PI / 180));
    const right = new Vector3().crossVectors(this.camera.up, way).normalize();
    const up = new Vector3().crossVectors(way, right);
    let off = 0;
    for (const x of [box.min.x, box.max.x]) for (const y of [box.min.y, box.max.y]) for (const z of [box.min.z, box.max.z]) {
      const p = new Vector3(x, y, z).sub(centre);
      const wide = Math.abs(p.dot(right)) / (half * this.camera.aspect);
      off = Math.max(off, Math.max(wide, Math.abs(p.dot(up)) / half) + p.dot(way));
    }
    return off * 1.1;
  }

  /** Where to look and from how far, along −`way`, so that `box` fills the canvas whatever its shape, in the middle of it. */
  framed(box, way) {
    const right = new Vector3().crossVectors(this.camera.up, way).normalize();
    const up = new Vector3().crossVectors(way, right);
    const target = box.getCenter(new Vector3());
    let off = this.distance(box, target, way);
    for (let i = 0; i < 6; i += 1) {
      const [low, high] = [[Infinity, Infinity], [-Infinity, -Infinity]];
      for (const x of [box.min.x, box.max.x]) for (const y of [box.min.y, box.max.y]) for (const z of [box.min.z, box.max.z]) {
        const p = new Vector3(x, y, z).sub(target);
        const deep = off - p.dot(way);
        [p.dot(right) / deep, p.dot(up) / deep].forEach((v, k) => { low[k] = Math.min(low[k], v); high[k] = Math.max(high[k], v); });
      }
      target.addScaledVector(right, off * (low[0] + high[0]) / 2).addScaledVector(up, off * (low[1] + high[1]) / 2);
      off = this.distance(box, target, way);
    }
    return { target, off };
  }

  /** Show everything from one side at once. */
  settle(way) {
    cancelAnimationFrame(this.turning ?? 0);
    const { target, off } = this.framed(this.box, way);
    this.controls.target.copy(target);
    this.camera.position.copy(target).addScaledVector(way, off);
    this.controls.update();
  }

  /** Turn the camera so that it looks along −`way` at `target` from `off` mm; at once where motion is unwanted. */
  turn(target, way, off, done = () => {}) {
    cancelAnimationFrame(this.turning ?? 0);
    this.homed = false;
    const from = this.controls.target.clone();
    const start = this.camera.position.clone().sub(from);
    const [r0, r1] = [start.length(), off];
    const w0 = start.normalize();
    const w1 = way.clone().normalize();
    const step = (share) => {
      const s = share * share * (3 - 2 * share);
      const w = w0.clone().lerp(w1, s);
      if (w.lengthSq() < 1e-6) w.copy(w1);
      this.controls.target.copy(from).lerp(target, s);
      this.camera.position.copy(this.controls.target).addScaledVector(w.normalize(), r0 + (r1 - r0) * s);
      this.controls.update();
      this.draw();
    };
    const begun = performance.now();
    const frame = () => {
      const share = calm.matches ? 1 : Math.min(1, (performance.now() - begun) / 420);
      step(share);
      if (share < 1) this.turning = requestAnimationFrame(frame);
      else done();
    };
    frame();
  }

  /** Look at everything from one side. */
  whole(way = CORNER) {
    // straight up or down the camera would not know where the back is
    const { up } = this.camera;
    const back = Math.abs(up.y) < 0.9 ? new Vector3(0, -1e-3, 0) : new Vector3(0, 0, 1e-3);
    const tilted = (Math.abs(way.dot(up)) > 0.999 ? way.clone().add(back) : way.clone()).normalize();
    const { target, off } = this.framed(this.box, tilted);
    this.turn(target, tilted, off);
    this.aim = tilted;
    this.homed = true;
  }

  /** Let another direction point up on the screen: all that is drawn stands so. */
  stand(up) {
    const side = this.camera.up.clone();
    this.camera.up.copy(up);
    this.controls.dispose();
    this.controls = this.steered(this.controls.target);
    // seen from the same side as before, as one sees it when it is laid down
    const turn = new Quaternion().setFromUnitVectors(side, up);
    this.whole(this.camera.position.clone().sub(this.controls.target).applyQuaternion(turn).normalize());
  }

  /** OrbitControls take the camera's up once and for all, so another up needs new ones. */
  steered(target) {
    const controls = new OrbitControls(this.camera, this.canvas);
    if (target) controls.target.copy(target);
    controls.zoomToCursor = true;
    controls.addEventListener('change', () => this.draw());
    controls.addEventListener('start', () => { this.homed = false; });
    return controls;
  }

  /** After parts moved: the box round them all; while nobody has turned the view it goes on showing everything. */
  grown(parts) {
    this.box.makeEmpty();
    for (const p of parts) {
      p.root.updateMatrixWorld(true);
      this.box.expandByObject(p.root);
    }
    if (!this.homed) return;
    this.settle(this.aim);
  }

  /** Where on the canvas a point is seen, in CSS pixels; null behind the camera. */
  seen(point) {
    const p = point.clone().project(this.camera);
    if (p.z > 1) return null;
    return { x: (p.x + 1) * this.host.clientWidth / 2, y: (1 - p.y) * this.host.clientHeight / 2 };
  }
}
