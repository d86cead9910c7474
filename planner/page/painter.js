// How does the heavy part of a flat get onto the screen without holding it up? Drawn a slice a frame on a hidden paper,
// larger than the stage; while that goes on, the paper shown before is moved and stretched by the browser.
const MARGIN = 0.25; // of the stage's size, on each side of the paper
const SLICE = 7; // milliseconds of a frame
const STRETCH = 1.02;
const BATCH = 3000; // signs of small paths that are drawn before anybody looks whether time is up

class Painter {
  constructor(holder) {
    this.papers = [0, 1].map(() => element('canvas', { hidden: true }));
    holder.replaceChildren(...this.papers);
    this.shown = null; // what the paper in front shows
    this.work = null; // what is being drawn on the other
  }

  // One frame: show what there is in its place, draw on for a slice. Says whether there is more to draw.
  frame(wanted) {
    if (this.work && this.work.key !== wanted.key) this.work = null;
    if (!this.work && this.stale(wanted)) this.begin(wanted);
    if (this.work) this.drawOn();
    if (this.shown && this.shown.flat === wanted.flat) this.place(wanted.view);
    else for (const paper of this.papers) paper.hidden = true;
    return this.work !== null || this.stale(wanted);
  }

  stale(wanted) {
    const { shown } = this;
    if (!shown || shown.key !== wanted.key) return true;
    const stretched = wanted.view.scale / shown.view.scale;
    if (wanted.moving ? stretched > 1.6 || stretched < 0.7 : Math.abs(stretched - 1) > 1e-6) return true;
    const reach = wanted.moving ? 0.6 : 0.3;
    const across = Math.abs(wanted.view.x - shown.view.x * stretched), up = Math.abs(wanted.view.y - shown.view.y * stretched);
    if (Math.abs(stretched - 1) > STRETCH - 1) return false;
    return across > reach * MARGIN * wanted.stage.width || up > reach * MARGIN * wanted.stage.height;
  }

  begin({ key, flat, scene, view, layers, stage }) {
    const paper = this.papers.find((one) => one !== this.shown?.paper);
    const margin = [Math.ceil(stage.width * MARGIN), Math.ceil(stage.height * MARGIN)];
    const size = [stage.width + 2 * margin[0], stage.height + 2 * margin[1]];
    paper.width = Math.round(size[0] * stage.ratio);
    paper.height = Math.round(size[1] * stage.ratio);
    paper.style.width = `${size[0]}px`;
    paper.style.height = `${size[1]}px`;
    const seen = view.copy();
    seen.x += margin[0];
    seen.y += margin[1];
    // Kept by the processor, where a slice costs its time while it is drawn and not when it is shown.
    const pen = paper.getContext('2d', { willReadFrequently: true });
    const slices = paint(pen, scene, seen, layers, stage.ratio, size);
    this.work = { key, flat, view: view.copy(), margin, paper, pen, slices };
  }

  drawOn() {
    const until = performance.now() + SLICE;
    do {
      if (this.work.slices.next().done) {
        this.shown = this.work;
        this.work = null;
        return;
      }
      // Browsers put off drawing until somebody looks; looking here keeps a slice as short as it is meant to be.
      this.work.pen.getImageData(0, 0, 1, 1);
    } while (performance.now() < until);
  }

  place(view) {
    const { view: seen, margin, paper } = this.shown;
    const k = view.scale / seen.scale;
    const turned = view.mirrored !== seen.mirrored;
    const top = view.y - k * (margin[1] + seen.y);
    const left = turned ? view.x + view.scale * view.width + k * (margin[0] + seen.x) : view.x - k * (margin[0] + seen.x);
    paper.style.transform = `translate(${left}px, ${top}px) scale(${turned ? -k : k}, ${k})`;
    for (const one of this.papers) one.hidden = one !== paper;
  }
}

// Draws a flat bit by bit; pauses where somebody may wait.
function* paint(pen, scene, view, layers, ratio, size) {
  const brush = new Brush(pen, view, ratio);
  const seen = view.toFlat(0, size[1]).concat(view.toFlat(size[0], 0));
  const [left, right] = [Math.min(seen[0], seen[2]), Math.max(seen[0], seen[2])];
  const ink = inks();
  brush.flat();
  pen.fillStyle = ink[scene.metal] ?? ink.zinc;
  pen.fillRect(0, 0, scene.width, scene.height);
  if (layers.has('metal')) {
    for (const rest of scene.rests) brush.hatch(rest.rings, rest.use);
    brush.hatch(scene.grip, 'grip');
    brush.fill(scene.kerf, ink.orange);
    brush.stroke(scene.usable, ink.soft, 1, [12, 4, 2, 4]);
    brush.hatch(scene.spots, 'spot');
  }
  yield;
  for (const plate of scene.plates) {
    const [x, y, width, height] = plate.box;
    if (x > right || x + width < left || y > seen[3] || y + height < seen[1]) continue;
    yield* paintPlate(brush, plate, layers, ink);
  }
  if (layers.has('passes')) {
    for (const one of scene.passes) {
      brush.hatch(one.mask, 'mask');
      brush.hatch(one.opens, 'opens');
      brush.stroke(one.frame, ink.purple, 2, [8, 4]);
    }
  }
  if (layers.has('marks')) for (const mark of scene.marks) if (mark.kind === 'area') brush.hatch(mark.rings, 'mark');
}

function* paintPlate(brush, plate, layers, ink) {
  brush.fill(plate.metal, ink.plate);
  if (layers.has('flange')) brush.hatch(plate.flange, 'flange');
  if (layers.has('zones')) {
    let drawn = 0;
    for (const zone of plate.zones) {
      brush.hatch(zone.rings, zoneKind(zone.cutter), zone.by, ink.blue);
      drawn += zone.rings.text.length + 200;
      if (drawn > BATCH) { drawn = 0; yield; }
    }
    yield;
  }
  if (layers.has('art')) {
    brush.fill(plate.printing, ink.dots, EMPTY, 0.35);
    for (const image of plate.images) brush.hatch(image.rings, image.kind, EMPTY, ink.art);
    for (const art of plate.art) {
      art.rings.read();
      yield;
      yield* brush.art(art, plate.outline, artInk(art.kind, ink));
    }
  }
  if (layers.has('staying')) brush.hatch(plate.staying, 'staying', EMPTY, ink.ink);
  if (layers.has('tints')) for (const tint of plate.tints) brush.hatch(tint, 'tint', EMPTY, ink.purple);
  if (layers.has('nails')) brush.nails(plate.nails, ink);
  yield;
}

function artInk(kind, ink) {
  return { line: ink.art, surprint: ink.blue, reverse: ink.plate }[kind] ?? ink.dots;
}
