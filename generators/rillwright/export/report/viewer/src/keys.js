// The stage by keyboard: turn, shift, nearer, farther, whole, take a point.
import { Quaternion, Spherical, Vector3 } from 'three';

const STEP = Math.PI / 24;

export function keys(stage, distance) {
  stage.canvas.tabIndex = 0;
  stage.canvas.setAttribute('role', 'application');
  stage.canvas.setAttribute('aria-label', 'The parts in three dimensions');
  stage.canvas.setAttribute('aria-describedby', 'stage-keys');
  stage.canvas.addEventListener('keydown', (e) => {
    if (e.ctrlKey || e.altKey || e.metaKey) return;
    const arrow = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] }[e.key];
    if (arrow) stage.homed = false;
    if (arrow) e.shiftKey ? shift(stage, ...arrow) : turn(stage, ...arrow);
    else if (e.key === '+' || e.key === '=') nearer(stage, 0.85);
    else if (e.key === '-') nearer(stage, 1 / 0.85);
    else if (e.key === 'Home') stage.whole();
    else if (e.key === 'Enter' && distance.on) distance.pick(stage.host.clientWidth / 2, stage.host.clientHeight / 2);
    else return;
    e.preventDefault();
  });
}

function turn(stage, right, up) {
  // three's spherical angles are about y; here whatever points up does
  const upright = new Quaternion().setFromUnitVectors(stage.camera.up, new Vector3(0, 1, 0));
  const off = stage.camera.position.clone().sub(stage.controls.target).applyQuaternion(upright);
  const s = new Spherical().setFromVector3(off);
  s.theta += right * STEP;
  s.phi = Math.min(Math.PI - 0.01, Math.max(0.01, s.phi - up * STEP));
  const v = new Vector3().setFromSpherical(s).applyQuaternion(upright.invert());
  stage.camera.position.copy(stage.controls.target).add(v);
  stage.controls.update();
  stage.draw();
}

function shift(stage, right, up) {
  const reach = stage.camera.position.distanceTo(stage.controls.target) * 0.04;
  const move = new Vector3().setFromMatrixColumn(stage.camera.matrix, 0).multiplyScalar(right * reach)
    .addScaledVector(new Vector3().setFromMatrixColumn(stage.camera.matrix, 1), up * reach);
  stage.camera.position.add(move);
  stage.controls.target.add(move);
  stage.controls.update();
  stage.draw();
}

function nearer(stage, factor) {
  const off = stage.camera.position.clone().sub(stage.controls.target).multiplyScalar(factor);
  stage.camera.position.copy(stage.controls.target).add(off);
  stage.controls.update();
  stage.draw();
}
