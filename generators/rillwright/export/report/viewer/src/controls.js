// The controls under the stage and the ticks in the parts list.
import { Vector3 } from 'three';
import { CORNER } from './stage.js';

const SIDES = {
  corner: CORNER, above: new Vector3(0, 0, 1), below: new Vector3(0, 0, -1), front: new Vector3(0, -1, 0),
  back: new Vector3(0, 1, 0), left: new Vector3(-1, 0, 0), right: new Vector3(1, 0, 0),
};
const FROM = { corner: 'the front right corner', above: 'above', below: 'below' };
const WORDS = { x: ['right of the middle', 'left of the middle'], y: ['behind the middle', 'in front of the middle'], z: ['up', 'down'] };

export function bindControls(all) {
  for (const control of document.querySelectorAll('#stage [disabled], #parts [disabled]')) control.disabled = false;
  views(all);
  cutting(all);
  apart(all);
  clearness(all);
  ticks(all);
  shown(all);
  places(all);
  measuring(all);
  standing(all);
}

const at = (id) => document.getElementById(id);

function views({ stage, say }) {
  for (const button of document.querySelectorAll('[data-view]')) {
    button.addEventListener('click', () => {
      stage.whole(SIDES[button.dataset.view]);
      say(`Seen from ${FROM[button.dataset.view] ?? `the ${button.dataset.view}`}.`);
    });
  }
}

function cutting({ stage, cut, marks }) {
  const [slider, out, flip] = [at('cut-at'), at('cut-told'), at('cut-flip')];
  const chosen = () => document.querySelector('[name=cut-axis]:checked').value;
  const apply = (fresh) => {
    const axis = chosen();
    slider.disabled = flip.disabled = !axis;
    if (axis) {
      const [low, high] = [stage.box.min[axis], stage.box.max[axis]];
      slider.min = low.toFixed(1);
      slider.max = high.toFixed(1);
      if (fresh) slider.value = ((low + high) / 2 + 0.5).toFixed(1);
      const v = Number(slider.value);
      out.textContent = `${Math.abs(v).toFixed(1)} mm ${WORDS[axis][v < 0 ? 1 : 0]}`;
    } else out.textContent = 'whole';
    slider.setAttribute('aria-valuetext', out.textContent);
    cut.set(axis, Number(slider.value), flip.checked);
    stage.draw();
  };
  for (const radio of document.querySelectorAll('[name=cut-axis]')) radio.addEventListener('change', () => apply(true));
  slider.addEventListener('input', () => apply(false));
  flip.addEventListener('change', () => apply(false));
  marks.uncover = () => {
    document.querySelector('[name=cut-axis][value=""]').checked = true;
    apply(true);
  };
  apply(true);
}

function apart({ stage, parts, cut }) {
  const slider = at('apart');
  slider.addEventListener('input', () => {
    for (const p of parts) p.pull(Number(slider.value) / 100);
    at('apart-told').textContent = `${slider.value} %`;
    cut.refresh();
    stage.grown(parts);
    stage.draw();
  });
}

function clearness({ stage, parts }) {
  const slider = at('clear');
  const apply = () => {
    for (const p of parts) p.look(Number(slider.value) / 100);
    at('clear-told').textContent = `${slider.value} %`;
    stage.draw();
  };
  slider.addEventListener('input', apply);
  apply();
}

function ticks({ stage, parts, marks, labels, flow, say }) {
  const bind = (id, then) => at(id).addEventListener('change', (e) => { then(e.target.checked); stage.draw(); });
  bind('tick-edges', (on) => { for (const p of parts) if (p.edges) p.edges.visible = on; });
  bind('tick-names', (on) => { labels.on = on; });
  for (const group of ['findings', 'joints', 'flow', 'pockets']) {
    bind(`tick-${group}`, (on) => marks.visible(group, on));
    marks.visible(group, at(`tick-${group}`).checked);
  }
  bind('tick-flow', (on) => {
    flow.group.visible = on;
    if (on) say(flow.told());
  });
  bind('tick-pockets', (on) => {
    if (!on) return;
    const there = marks.marks.filter((m) => m.group === 'pockets');
    if (!there.length) say('No pocket was found.');
    else if (!there.some((m) => marks.stands(m))) marks.turnTo(there[0].pose);
  });
  marks.reveal = () => { if (!at('tick-flow').checked) at('tick-flow').click(); };
}

/** Ticks of the parts list: one for each part, one for each group of parts. */
function shown({ stage, parts, cut, say }) {
  const byName = new Map(parts.map((p) => [p.name, p]));
  const see = () => Number(at('clear').value) / 100;
  const singles = [...document.querySelectorAll('[data-part]')];
  const groups = [...document.querySelectorAll('[data-group]')];
  const act = (tick) => {
    const part = byName.get(tick.dataset.part);
    if (!part) return;
    part[tick.dataset.does === 'clear' ? 'clear' : 'shown'] = tick.checked;
    part.look(see());
  };
  const members = (g) => singles.filter((t) => t.dataset.of === g.dataset.group && t.dataset.does === g.dataset.does);
  const settle = () => {
    for (const g of groups) {
      const on = members(g).filter((t) => t.checked).length;
      g.checked = on === members(g).length;
      g.indeterminate = on > 0 && !g.checked;
    }
    cut.refresh();
    stage.draw();
  };
  for (const t of singles) t.addEventListener('change', () => { act(t); settle(); say(`${t.dataset.part}: ${tickWord(t)}.`); });
  for (const g of groups) {
    g.addEventListener('change', () => {
      for (const t of members(g)) { t.checked = g.checked; act(t); }
      settle();
      say(`${g.dataset.group}: ${tickWord(g)}.`);
    });
  }
  for (const t of singles) { act(t); }
  settle();
}

function tickWord(tick) {
  if (tick.dataset.does === 'clear') return tick.checked ? 'clear' : 'solid';
  return tick.checked ? 'on the stage' : 'taken away';
}

function places({ stage, marks, say }) {
  document.addEventListener('click', (e) => {
    const button = e.target.closest('[data-mark]');
    if (!button) return;
    marks.show(button.dataset.mark);
    const r = stage.host.getBoundingClientRect();
    if (r.bottom < 80 || r.top > innerHeight - 80) stage.host.scrollIntoView({ block: 'start' });
    say(`The view turns: ${button.getAttribute('aria-label').replace('Show', 'it shows')}.`);
  });
}

/** Ways to stand: the view turns so that its up is up, and the pockets are those of that way. */
function standing({ stage, marks, labels, poses, say }) {
  const take = (key) => {
    const pose = poses.find((p) => p.key === key);
    const drawn = !pose || pose.up[2] > 0.9999;
    marks.pose = key;
    labels.stand(drawn ? null : pose.up);
    stage.stand(new Vector3(...(pose?.up ?? [0, 0, 1])));
    say(drawn ? 'It stands as drawn.' : `It stands ${pose.said}; the arrow points up.`);
  };
  marks.pose = poses.find((p) => p.up[2] > 0.9999)?.key ?? '';
  const radios = [...document.querySelectorAll('[name=pose]')];
  for (const radio of radios) radio.addEventListener('change', () => take(radio.value));
  marks.turnTo = (key) => {
    for (const radio of radios) radio.checked = radio.value === key;
    take(key);
  };
}

function measuring({ distance }) {
  const button = at('measure');
  button.addEventListener('click', () => {
    const on = button.getAttribute('aria-pressed') !== 'true';
    button.setAttribute('aria-pressed', String(on));
    distance.start(on);
  });
}
