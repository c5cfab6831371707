// Cutting open: a plane across one of three axes, and the cut faces filled and hatched, part by part.
import {
  AlwaysStencilFunc, BackSide, Box3, DecrementWrapStencilOp, FrontSide, IncrementWrapStencilOp, Mesh, MeshBasicMaterial,
  NotEqualStencilFunc, Plane, PlaneGeometry, ReplaceStencilOp, Vector3, DoubleSide,
} from 'three';
import { hatch } from './hatch.js';

const AXES = { x: new Vector3(1, 0, 0), y: new Vector3(0, 1, 0), z: new Vector3(0, 0, 1) };
const FAR = 1e7;

export class Cut {
  constructor(stage) {
    this.stage = stage;
    this.plane = new Plane(new Vector3(0, 0, -1), FAR);
    this.axis = '';
    this.at = 0;
    this.flipped = false;
    this.caps = [];
  }

  fill(parts, loops) {
    const solid = parts.filter((p) => p.kind !== 'room'); // a room has nothing in it that could be cut
    this.caps = solid.map((part, i) => new Cap(part, this.plane, i, loops));
    for (const c of this.caps) this.stage.scene.add(c.face, c.behind, c.before);
  }

  /** Cut across `axis` ('' for whole) at `at` mm; the half towards + is taken away, or the other one when flipped. */
  set(axis, at, flipped) {
    Object.assign(this, { axis, at, flipped });
    if (axis) {
      this.plane.normal.copy(AXES[axis]).multiplyScalar(flipped ? 1 : -1);
      this.plane.constant = flipped ? -at : at;
    } else {
      this.plane.normal.set(0, 0, -1);
      this.plane.constant = FAR;
    }
    this.refresh();
  }

  /** After parts moved, or were shown or hidden. */
  refresh() {
    for (const c of this.caps) c.lie(this.plane, Boolean(this.axis));
  }

  /** Whether a point is cut away. */
  gone(point) {
    return this.plane.distanceToPoint(point) < -1e-3;
  }
}

/** The cut face of one part. Where its back faces outnumber its front ones the plane lies inside it. */
class Cap {
  constructor(part, plane, number, loops) {
    this.part = part;
    this.behind = counting(part, plane, BackSide, IncrementWrapStencilOp);
    this.before = counting(part, plane, FrontSide, DecrementWrapStencilOp);
    const m = new MeshBasicMaterial({
      side: DoubleSide, stencilWrite: true, stencilRef: 0, stencilFunc: NotEqualStencilFunc,
      stencilFail: ReplaceStencilOp, stencilZFail: ReplaceStencilOp, stencilZPass: ReplaceStencilOp,
    });
    m.color.copy(part.material.color);
    if (part.kind === 'coolant') hatch(m, loops[part.loop]?.hatch ?? 'none', 0.45);
    else if (part.kind === 'plate') hatch(m, number % 2 ? 'lemat' : 'metal', 0.45);
    else if (part.kind === 'tube') m.color.setRGB(0.55, 0.68, 0.72);
    this.face = new Mesh(new PlaneGeometry(1, 1), m);
    const order = 10 + number;
    this.behind.renderOrder = this.before.renderOrder = order;
    this.face.renderOrder = order + 0.5;
    this.face.onAfterRender = (renderer) => renderer.clearStencil();
    this.box = new Box3();
  }

  lie(plane, on) {
    const { part } = this;
    let seen = on && part.shown;
    if (seen) {
      part.root.updateMatrixWorld(true);
      this.box.setFromObject(part.body);
      seen = plane.intersectsBox(this.box);
    }
    this.face.visible = this.behind.visible = this.before.visible = seen;
    if (!seen) return;
    this.behind.matrix.copy(part.body.matrixWorld);
    this.before.matrix.copy(part.body.matrixWorld);
    const centre = this.box.getCenter(new Vector3());
    plane.projectPoint(centre, this.face.position);
    this.face.scale.setScalar(this.box.getSize(new Vector3()).length() * 1.05);
    this.face.lookAt(this.face.position.clone().sub(plane.normal));
  }
}

function counting(part, plane, side, operation) {
  const m = new MeshBasicMaterial({
    side, clippingPlanes: [plane], depthWrite: false, depthTest: false, colorWrite: false, stencilWrite: true,
    stencilFunc: AlwaysStencilFunc, stencilFail: operation, stencilZFail: operation, stencilZPass: operation,
  });
  const counted = new Mesh(part.body.geometry, m);
  counted.matrixAutoUpdate = false;
  counted.frustumCulled = false;
  return counted;
}
