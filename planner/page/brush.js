// How is a shape filled, hatched or outlined, wherever the flat lies on the screen?
const CORNERS = 6000; // of a piece of art that are filled at once
const LOWEST = 12; // dots of a strip's height at least

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
  into(by, unit = 1 / UNITS) {
    this.flat();
    this.pen.transform(...by);
    this.pen.scale(unit, unit);
  }

  path(rings, by = EMPTY, unit = 1 / UNITS) {
    this.into(by, unit);
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

  // Heavy art is filled in strips of whole dots, so that none takes long; they show no seam.
  *art({ rings, unit, by, kind }, outline, colour) {
    const whole = rings.points === null || rings.points.length < 2 * CORNERS ? this.path(rings, by, unit) : null;
    this.into(by, unit);
    const place = this.pen.getTransform();
    const matrix = [place.a, place.b, place.c, place.d, place.e, place.f];
    for (const strip of whole ? [null] : this.strips(rings, matrix)) {
      this.pen.save();
      if (strip) this.within(strip);
      this.pen.clip(this.path(outline), 'evenodd');
      this.pen.setTransform(...matrix);
      const path = whole ?? rings.between(matrix, strip.shown);
      this.pen.fillStyle = colour;
      this.pen.fill(path, 'evenodd');
      if (kind === 'reverse') {
        this.pen.strokeStyle = inks().orange;
        this.pen.lineWidth = this.ratio / (this.scale * unit * Math.hypot(by[0], by[1]));
        this.pen.stroke(path);
      }
      this.pen.restore();
      yield;
    }
    this.flat();
  }

  // Strips across the paper, with those of about so many corners; what is drawn reaches a little beyond each.
  *strips(rings, matrix) {
    const { width, height } = this.pen.canvas;
    const [highest, lowest] = rings.reach(matrix);
    const step = Math.max(LOWEST, Math.ceil((lowest - highest) * 2 * CORNERS / rings.points.length));
    for (let top = Math.max(0, Math.floor(highest)); top < Math.min(height, lowest); top += step) {
      yield { top, step, shown: [-2, top - 2, width + 2, top + step + 2] };
    }
  }

  within({ top, step }) {
    this.pen.setTransform(1, 0, 0, 1, 0, 0);
    this.pen.beginPath();
    this.pen.rect(0, top, this.pen.canvas.width, step);
    this.pen.clip();
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
