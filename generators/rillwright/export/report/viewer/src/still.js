// A still picture of the stage, which takes its place on paper.

export function stills(stage) {
  const picture = document.createElement('img');
  picture.className = 'still';
  picture.alt = 'The parts as they were last seen on the screen';
  stage.host.append(picture);
  const take = () => {
    stage.drawNow();
    picture.src = stage.canvas.toDataURL('image/png');
  };
  let folded = [];
  addEventListener('beforeprint', () => {
    folded = [...document.querySelectorAll('main section:not(#checked) details:not([open])')];
    for (const d of folded) d.open = true;
    take();
  });
  addEventListener('afterprint', () => {
    for (const d of folded) d.open = false;
  });
  matchMedia('print').addEventListener('change', (e) => { if (e.matches) take(); });
  setTimeout(take, 600); // for printing that gives no warning
}
