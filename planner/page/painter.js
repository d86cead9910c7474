// How does the heavy part of a flat get onto the screen without holding it up? Drawn a slice a frame on a hidden paper,
// larger than the stage; while that goes on, the paper shown before is moved and stretched by the browser.
const MARGIN = 0.25; // of the stage's size, on each side of the paper
const SLICE = 7; // milliseconds of a frame
const STRETCH = 1.02;

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
  if (layers.has('zones')) for (const zone of plate.zones) { brush.hatch(zone.rings, zoneKind(zone.cutter), zone.by, ink.blue); yield; }
  if (layers.has('art')) {
    brush.fill(plate.printing, ink.dots, EMPTY, 0.35);
    for (const image of plate.images) brush.hatch(image.rings, image.kind, EMPTY, ink.art);
    for (const art of plate.art) {
      art.rings.read();
      yield;
      brush.art(art, plate.outline, artInk(art.kind, ink));
      yield;
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

// A pen that knows where the flat lies, and how wide a pixel is there.
class Brush {
  constructor(pen, view, ratio) {
    this.pen = pen;
    this.ratio = ratio;
    this.matrix = view.matrix.map((value) => value * ratio);
    this.scale = view.scale * ratio;
  }

  flat() {
    this.pen.setTransform(...this.matrix);
  }

  // Into the units of paths, through a transform from a plate's or an art's frame.
  path(rings, by = EMPTY, unit = 1 / UNITS) {
    this.flat();
    this.pen.transform(...by);
    this.pen.scale(unit, unit);
    return rings.path(this.scale * unit * Math.hypot(by[0], by[1]));
  }

  fill(rings, colour, by = EMPTY, alpha = 1) {
    if (!rings.text) return;
    const path = this.path(rings, by);
    this.pen.fillStyle = colour;
    this.pen.globalAlpha = alpha;
    this.pen.fill(path, 'evenodd');
    this.pen.globalAlpha = 1;
    this.flat();
  }

  hatch(rings, name, by = EMPTY, edge = null) {
    if (!rings.text) return;
    const path = this.path(rings, by);
    this.pen.fillStyle = hatchFor(this.pen, name, this.ratio);
    this.pen.fill(path, 'evenodd');
    this.flat();
    if (edge) this.stroke(rings, edge, 0.7, [], by);
  }

  stroke(rings, colour, width, dash = [], by = EMPTY) {
    if (!rings.text) return;
    const path = this.path(rings, by);
    const pixel = UNITS / this.scale * this.ratio;
    this.pen.strokeStyle = colour;
    this.pen.lineWidth = width * pixel;
    this.pen.setLineDash(dash.map((one) => one * pixel));
    this.pen.stroke(path);
    this.pen.setLineDash([]);
    this.flat();
  }

  art({ rings, unit, by, kind }, outline, colour) {
    this.pen.save();
    this.pen.clip(this.path(outline), 'evenodd');
    const path = this.path(rings, by, unit);
    this.pen.fillStyle = colour;
    this.pen.fill(path, 'evenodd');
    if (kind === 'reverse') {
      this.pen.strokeStyle = inks().orange;
      this.pen.lineWidth = this.ratio / (this.scale * unit * Math.hypot(by[0], by[1]));
      this.pen.stroke(path);
    }
    this.pen.restore();
    this.flat();
  }

  nails(places, ink) {
    const radius = 4 * this.ratio / this.scale;
    this.pen.strokeStyle = ink.ink;
    this.pen.fillStyle = ink.paper;
    this.pen.lineWidth = 1.2 * this.ratio / this.scale;
    for (const [x, y] of places) {
      this.pen.beginPath();
      this.pen.arc(x, y, radius, 0, 7);
      this.pen.fill();
      this.pen.moveTo(x - radius, y); this.pen.lineTo(x + radius, y);
      this.pen.moveTo(x, y - radius); this.pen.lineTo(x, y + radius);
      this.pen.stroke();
    }
  }
}
