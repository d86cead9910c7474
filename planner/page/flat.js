// One flat on the screen: which one, how it lies, what is chosen on it; and what stands beside it.
const PAN = 80; // pixels that an arrow key moves
const SETTLED = 140; // milliseconds without movement
const FLIGHT = 260;
const RATIO = 2; // device pixels to the pixel that are drawn at most

const bench = { number: null, scene: null, view: null, views: new Map(), side: 'stripper', chosen: { plate: null, finding: null, over: null },
  stage: { width: 1, height: 1, ratio: 1 }, asked: false, movedAt: -Infinity, flight: null, painter: null, pen: null, drawing: 0 };

function setUpFlat() {
  const stage = byId('stage');
  bench.painter = new Painter(byId('papers'));
  bench.pen = byId('overlay').getContext('2d');
  new ResizeObserver(measure).observe(stage);
  setUpGestures(stage, {
    drag: (across, down) => moved((view) => view.move(across, down, bench.stage)),
    zoom: (factor, x, y) => moved((view) => view.zoom(factor, x, y, bench.stage)),
    pinch: (factor, x, y, across, down) => moved((view) => { view.move(across, down, bench.stage); view.zoom(factor, x, y, bench.stage); }),
    tap: tapped,
    over: hovered,
    leave: () => { byId('hint').hidden = true; setOver(null); byId('place').textContent = '\u00a0'; },
  });
  byId('in-button').addEventListener('click', () => zoomMiddle(1.5));
  byId('out-button').addEventListener('click', () => zoomMiddle(1 / 1.5));
  byId('fit-button').addEventListener('click', fitFlat);
  byId('layers-button').addEventListener('click', () => openLayers(byId('layers-panel').hidden));
  byId('stripper-button').addEventListener('click', () => turnTo('stripper'));
  byId('metal-button').addEventListener('click', () => turnTo('metal'));
  byId('spots').addEventListener('focusin', (event) => showPlate(Number(event.target.dataset.number), false));
}

function openFlat(number, chosen, side) {
  const other = number !== bench.number;
  Object.assign(bench.chosen, { plate: null, finding: null, over: null }, chosen);
  if (side) bench.side = side;
  if (other) {
    bench.number = number;
    bench.scene = sceneOf(number);
    if (!bench.views.has(number)) bench.views.set(number, new View(bench.scene.width, bench.scene.height));
    bench.view = bench.views.get(number);
  }
  measure();
  if (bench.view.mirrored !== (bench.side === 'metal')) bench.view.turnOver(bench.stage);
  if (other) fillFlat();
  fillSide();
  ask();
}

function measure() {
  const stage = byId('stage');
  const { clientWidth: width, clientHeight: height } = stage;
  if (!width || !height) return;
  const ratio = Math.min(RATIO, window.devicePixelRatio || 1);
  if (width !== bench.stage.width || height !== bench.stage.height || ratio !== bench.stage.ratio) {
    bench.stage = { width, height, ratio };
    const overlay = byId('overlay');
    overlay.width = Math.round(width * ratio);
    overlay.height = Math.round(height * ratio);
    overlay.style.width = `${width}px`;
    overlay.style.height = `${height}px`;
  }
  if (bench.view?.fitted) bench.view.fit(bench.stage);
  ask();
}

function ask() {
  if (bench.asked || bench.number === null) return;
  bench.asked = true;
  byId('stage').dataset.ready = 'false';
  requestAnimationFrame(draw);
}

// Flats are drawn when something changed, and as long as there is more to draw; otherwise the page rests.
function draw(now) {
  bench.asked = false;
  if (byId('flat-view').hidden || !bench.view) return;
  if (bench.flight) fly(now);
  const { scene, view, stage, chosen, side } = bench;
  const layers = layersShown[side];
  const moving = bench.flight !== null || now - bench.movedAt < SETTLED;
  const key = [bench.number, side, stage.width, stage.height, stage.ratio, isDark(), ...layers].join(' ');
  const more = bench.painter.frame({ key, flat: bench.number, scene, view, layers, stage, moving });
  drawOverlay(bench.pen, scene, view, layers, stage, chosen);
  if (!moving) placeSpots(byId('spots'), scene, view);
  byId('stage').dataset.ready = String(!more && !moving);
  if (more || moving) ask();
}

function moved(change) {
  bench.flight = null;
  change(bench.view);
  bench.movedAt = performance.now();
  byId('hint').hidden = true;
  ask();
}

function zoomMiddle(factor) {
  moved((view) => view.zoom(factor, bench.stage.width / 2, bench.stage.height / 2, bench.stage));
  say(`${Math.round(bench.view.scale / 0.96)} per cent of true size`);
}

function pan(across, down) {
  moved((view) => view.move(across * PAN, down * PAN, bench.stage));
}

function fitFlat() {
  moved((view) => { view.fit(bench.stage); view.fitted = true; });
  say('The whole flat');
}

function turnTo(side) {
  if (side === bench.side) return;
  bench.side = side;
  bench.view.turnOver(bench.stage);
  if (bench.view.fitted) bench.view.fit(bench.stage);
  fillSide();
  ask();
  say(side === 'metal' ? 'Metal view: mirror image, as the metal is seen' : "Stripper's view: right-reading");
}

// Goes to a box of the flat, in one movement unless movement is not wanted.
function goTo(box, margin) {
  const from = bench.view.copy(), to = bench.view.copy();
  to.fit(bench.stage, box, margin);
  to.scale = Math.min(to.scale, 220);
  const [left, bottom, width, height] = box;
  const across = to.mirrored ? to.width - left - width / 2 : left + width / 2;
  to.x = Math.round(bench.stage.width / 2 - to.scale * across);
  to.y = Math.round(bench.stage.height / 2 - to.scale * (to.height - bottom - height / 2));
  bench.flight = { from, to, start: null };
  bench.view.fitted = false;
  ask();
}

function fly(now) {
  const { from, to } = bench.flight;
  bench.flight.start ??= now;
  const part = calm.matches ? 1 : Math.min(1, (now - bench.flight.start) / FLIGHT);
  const eased = 1 - (1 - part) ** 3;
  const { view, stage } = bench;
  // What lies in the middle moves evenly on the flat, while the scale grows by equal factors.
  const scale = from.scale * (to.scale / from.scale) ** eased;
  const middle = (one) => one.toFlat(stage.width / 2, stage.height / 2);
  const [start, end] = [middle(from), middle(to)];
  view.scale = scale;
  const [x, y] = view.toScreen(start[0] + (end[0] - start[0]) * eased, start[1] + (end[1] - start[1]) * eased);
  view.x = Math.round(view.x + stage.width / 2 - x);
  view.y = Math.round(view.y + stage.height / 2 - y);
  if (part === 1) { bench.flight = null; bench.movedAt = now; }
}

function tapped([x, y]) {
  const finding = findingUnder(bench.scene, bench.view, layersShown[bench.side], bench.stage, x, y);
  if (finding) { go(`finding-${finding.finding + 1}`); return; }
  const plate = plateUnder(bench.scene, bench.view, x, y);
  go(plate ? `flat-${bench.number}/plate-${plate.number}` : `flat-${bench.number}`);
}

function hovered(at, byMouse) {
  const [across, up] = bench.view.toFlat(...at);
  byId('place').textContent = `${inches(across)} from the left, ${inches(up)} from the bottom, as the stripper sees it`;
  if (!byMouse) return;
  const plate = plateUnder(bench.scene, bench.view, ...at);
  setOver(plate?.number ?? null);
  if (plate) fillHint(plate.about, at, bench.stage);
  else byId('hint').hidden = true;
}

function setOver(number) {
  byId('stage').classList.toggle('over', number !== null);
  if (bench.chosen.over === number) return;
  bench.chosen.over = number;
  ask();
}

function openLayers(open) {
  byId('layers-panel').hidden = !open;
  byId('layers-button').setAttribute('aria-expanded', String(open));
}

// The nearest 1/16: nobody points finer.
function inches(value) {
  const parts = Math.round(Math.abs(value) * 16);
  let [over, under] = [parts % 16, 16];
  while (over && over % 2 === 0) { over /= 2; under /= 2; }
  const whole = Math.floor(parts / 16);
  return `${value < 0 && parts ? '-' : ''}${whole || !over ? whole : ''}${over ? `${whole ? ' ' : ''}${over}/${under}` : ''} in`;
}

// Chooses a plate; moves the drawing only if the plate is not to be seen.
function showPlate(number, tell = true) {
  const plate = bench.scene.plates[number - 1];
  if (!plate) return;
  bench.chosen.plate = number;
  const [x, y, width, height] = bench.view.boxOnScreen(plate.box);
  const small = Math.max(width, height) < 40;
  if (small || x < 0 || y < 0 || x + width > bench.stage.width || y + height > bench.stage.height) goTo(plate.box, 60);
  markChosen();
  if (tell) say(plateWords(plate.about));
  ask();
}

function nextPlate(step) {
  const { length } = bench.scene.plates;
  if (!length) return;
  const from = bench.chosen.plate ?? (step > 0 ? 0 : 1);
  const number = (from - 1 + step + length) % length + 1;
  go(`flat-${bench.number}/plate-${number}`);
  byId('spots').children[number - 1]?.focus({ preventScroll: true });
}
