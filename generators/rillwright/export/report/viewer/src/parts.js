// Parts as objects on the stage, in mm with z up.
import {
  BufferAttribute, BufferGeometry, DoubleSide, Group, LineBasicMaterial, LineSegments, Mesh, MeshPhongMaterial, Vector3,
} from 'three';
import { hatch } from './hatch.js';

const EDGE = 0x18222c;
const ROOM = { edge: 0x4d5c8a, clear: 0.35 }; // what a mounted part takes up: fainter than any part

function geometry(primitive) {
  const made = new BufferGeometry();
  made.setAttribute('position', new BufferAttribute(primitive.position, 3));
  if (primitive.normal) made.setAttribute('normal', new BufferAttribute(primitive.normal, 3));
  made.setIndex(new BufferAttribute(primitive.index, 1));
  return made;
}

/** One part: `root` moves, `body` is its surface, `edges` its lines (or null). */
class Part {
  constructor(node, shared, planes, loops) {
    this.name = node.name;
    this.kind = node.extras.kind;
    this.loop = node.extras.loop ?? '';
    // glTF has y up and metres; the way apart is told in the assembly's own frame
    this.apart = new Vector3(...(node.extras.apart ?? [0, 0, 0]));
    this.shown = true;
    const [surface] = node.primitives;
    const [r, g, b, a] = surface.colour;
    this.material = new MeshPhongMaterial({ side: DoubleSide, shininess: 30, specular: 0x333333, clippingPlanes: planes });
    this.material.color.setRGB(r, g, b);
    if (this.kind === 'coolant') hatch(this.material, loops[this.loop]?.hatch ?? 'none', 0.32);
    this.body = new Mesh(shared[0], this.material);
    this.edges = null;
    if (shared[1] && this.kind !== 'coolant') {
      const color = this.kind === 'room' ? ROOM.edge : EDGE;
      this.edges = new LineSegments(shared[1], new LineBasicMaterial({ color, clippingPlanes: planes }));
    }
    this.root = new Group();
    this.root.name = node.name;
    const inner = new Group();
    if (node.translation) inner.position.set(...node.translation);
    if (node.rotation) inner.quaternion.set(...node.rotation);
    inner.add(this.body);
    if (this.edges) inner.add(this.edges);
    const turned = new Group();
    turned.rotation.x = Math.PI / 2;
    turned.scale.setScalar(1000);
    turned.add(inner);
    this.root.add(turned);
    this.clear = a < 1;
    this.look(0.65);
  }

  /** How the part is drawn: `seeThrough` 0 (solid) to 1 is how clear the clear ones are. */
  look(seeThrough) {
    const m = this.material;
    const clear = this.clear && seeThrough > 0.02;
    if (m.transparent !== clear) m.needsUpdate = true;
    m.transparent = clear;
    m.opacity = clear ? Math.max(0.06, 1 - seeThrough) * (this.kind === 'room' ? ROOM.clear : 1) : 1;
    m.depthWrite = !clear;
    m.polygonOffset = true;
    m.polygonOffsetFactor = m.polygonOffsetUnits = { coolant: 3, room: 4 }[this.kind] ?? 1;
    this.body.renderOrder = clear ? 2 : 0;
    this.body.visible = this.shown;
    this.root.visible = this.shown;
  }

  pull(share) {
    this.root.position.copy(this.apart).multiplyScalar(share);
  }
}

/** All parts of the model. Equal meshes share their data. */
export function partsOf(nodes, planes, loops) {
  const made = new Map();
  return nodes.map((node) => {
    if (!made.has(node.of)) made.set(node.of, node.primitives.map(geometry));
    return new Part(node, made.get(node.of), planes, loops);
  });
}
