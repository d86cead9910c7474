// What does a path look like from here? Rings in whole units, drawn with no more corners than the screen has room for.
const SEEN = 0.45; // pixels; a corner nearer to the last one is left out
const KEPT_LEVELS = 3;

class Rings {
  constructor(text) {
    this.text = text;
    this.points = null; // x, y, x, y ... of all rings
    this.rings = null; // of each: first point, how many, left, bottom, right, top
    this.paths = new Map();
  }

  // A path of anything but M, l and z stays as the browser reads it.
  read() {
    if (this.rings) return;
    const { text } = this;
    const points = new Int32Array(text.length + 2);
    const rings = [];
    let filled = 0, first = 0, x = 0, y = 0, value = 0, sign = 1, digits = false, pair = 0, step = false, foreign = false;
    const give = () => {
      if (!digits) return;
      const number = sign * value;
      if (pair === 0) { x = step ? x + number : number; pair = 1; } else {
        y = step ? y + number : number; pair = 0;
        points[filled++] = x; points[filled++] = y;
      }
      value = 0; sign = 1; digits = false;
    };
    for (let place = 0; place < text.length && !foreign; place++) {
      const code = text.charCodeAt(place);
      if (code >= 48 && code <= 57) { value = value * 10 + code - 48; digits = true; }
      else if (code === 45) { give(); sign = -1; }
      else if (code === 32) give();
      else if (code === 77) { give(); first = filled; step = false; pair = 0; }
      else if (code === 108) { give(); step = true; }
      else if (code === 122) { give(); rings.push(around(points, first, filled)); }
      else foreign = true;
    }
    this.points = foreign ? null : points.slice(0, filled);
    this.rings = foreign ? [] : rings;
  }

  // The path for a scale in pixels to the unit; power-of-two steps keep zooming from making new ones all the time.
  path(scale) {
    this.read();
    const level = this.points ? Math.max(0, Math.floor(Math.log2(SEEN / scale))) : 0;
    let path = this.paths.get(level);
    if (!path) {
      path = this.points ? this.draw(level === 0 ? 0 : 2 ** level) : new Path2D(this.text);
      if (this.paths.size >= KEPT_LEVELS) this.paths.delete(this.paths.keys().next().value);
    } else this.paths.delete(level);
    this.paths.set(level, path);
    return path;
  }

  draw(least) {
    const { points } = this;
    const path = new Path2D();
    for (const [first, end, left, bottom, right, top] of this.rings) {
      const small = right - left < 2 * least && top - bottom < 2 * least;
      if (small) { path.rect(left, bottom, right - left, top - bottom); continue; }
      let x = points[first], y = points[first + 1];
      path.moveTo(x, y);
      for (let place = first + 2; place < end; place += 2) {
        const across = Math.abs(points[place] - x), up = Math.abs(points[place + 1] - y);
        if (across < least && up < least) continue;
        x = points[place]; y = points[place + 1];
        path.lineTo(x, y);
      }
      path.closePath();
    }
    return path;
  }
}

function around(points, first, end) {
  let left = Infinity, bottom = Infinity, right = -Infinity, top = -Infinity;
  for (let place = first; place < end; place += 2) {
    left = Math.min(left, points[place]); right = Math.max(right, points[place]);
    bottom = Math.min(bottom, points[place + 1]); top = Math.max(top, points[place + 1]);
  }
  return [first, end, left, bottom, right, top];
}
