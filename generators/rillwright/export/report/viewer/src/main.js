// The report's page: the stage and its controls, the lists that show and hide, the still picture for paper.
import { Vector3 } from 'three';
import { facts, modelBytes, parsed } from './facts.js';
import { bindControls } from './controls.js';
import { Cut } from './cut.js';
import { Distance } from './distance.js';
import { Flow } from './flow.js';
import { keys } from './keys.js';
import { Labels } from './labels.js';
import { Marks } from './marks.js';
import { partsOf } from './parts.js';
import { Stage } from './stage.js';
import { stills } from './still.js';

async function start() {
  const host = document.getElementById('stage-view');
  const told = document.getElementById('stage-told');
  const say = (text) => { told.textContent = text; };
  const given = facts();
  const nodes = parsed(await modelBytes());
  const stage = new Stage(host);
  const cut = new Cut(stage);
  const parts = partsOf(nodes, [cut.plane], given.loops);
  for (const p of parts) {
    stage.scene.add(p.root);
    p.root.updateMatrixWorld(true);
    stage.box.expandByObject(p.root);
  }
  cut.fill(parts, given.loops);
  const marks = new Marks(stage, given.marks, parts, cut);
  const flow = new Flow(stage, given.passages, parts, [cut.plane]);
  const labels = new Labels(stage, parts, cut);
  const distance = new Distance(stage, parts, cut, given.mouths, say);
  keys(stage, distance);
  bindControls({ stage, cut, parts, marks, labels, flow, poses: given.poses, distance, say });
  stills(stage);
  stage.resize();
  stage.whole();
  stage.drawNow();
  // where a point of the assembly (mm) is seen, for programs that drive this page
  host.seen = (x, y, z) => stage.seen(new Vector3(x, y, z));
  host.dataset.state = 'ready';
}

start().catch((error) => {
  const host = document.getElementById('stage-view');
  host.dataset.state = 'failed';
  document.getElementById('stage-told').textContent = `The parts cannot be drawn here (${error.message}). Everything else is on this page.`;
});
