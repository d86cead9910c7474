// What does a path look like from here? Rings in whole units, drawn with no more corners than the screen has room for.
const SEEN = 0.45; // pixels; a corner nearer to the last one is left out
const KEPT_LEVELS = 3;
const MANY_RINGS = 64;

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

  // The path for a scale in pixels to the unit.
  path(scale) {
    this.read();
    const least = this.points ? leastAt(scale) : 0;
    let path = this.paths.get(least);
    if (!path) {
      path = this.points ? this.draw(least) : new Path2D(this.text);
      if (this.paths.size >= KEPT_LEVELS) this.paths.delete(this.paths.keys().next().value);
    } else this.paths.delete(least);
    this.paths.set(least, path);
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
      // Closing looks at all of the path in Chromium: thousands of rings would take time by their square.
      if (this.rings.length > MANY_RINGS) path.lineTo(points[first], points[first + 1]); else path.closePath();
    }
    return path;
  }

  // What of the rings shows between two heights of the screen, and between its sides; to be filled within those only.
  // The matrix leads from the path's units to the screen's dots. Runs of corners above or below are cut short.
  between([a, b, c, d, e, f], [left, top, right, bottom]) {
    const { points } = this;
    const least = leastAt(Math.hypot(a, b));
    const path = new Path2D();
    for (const [first, end, west, south, east, north] of this.rings) {
      const [x1, x2] = [a * west + e, a * east + e], [x3, x4] = [c * south, c * north];
      if (Math.max(x1, x2) + Math.max(x3, x4) < left || Math.min(x1, x2) + Math.min(x3, x4) > right) continue;
      const [y1, y2] = [b * west + f, b * east + f], [y3, y4] = [d * south, d * north];
      if (Math.max(y1, y2) + Math.max(y3, y4) < top || Math.min(y1, y2) + Math.min(y3, y4) > bottom) continue;
      if (east - west < 2 * least && north - south < 2 * least) { path.rect(west, south, east - west, north - south); continue; }
      let x = points[first], y = points[first + 1], last = first;
      const beside = (place) => {
        const down = b * points[place] + d * points[place + 1] + f;
        return down < top ? -1 : down > bottom ? 1 : 0;
      };
      let side = beside(first);
      path.moveTo(x, y);
      for (let place = first + 2; place < end; place += 2) {
        const across = Math.abs(points[place] - x), up = Math.abs(points[place + 1] - y);
        if (across < least && up < least) continue;
        x = points[place]; y = points[place + 1];
        const now = beside(place);
        if (now === 0 || now !== side) {
          if (last > first) path.lineTo(points[last], points[last + 1]);
          last = first;
          path.lineTo(x, y);
        } else last = place;
        side = now;
      }
      if (last > first) path.lineTo(points[last], points[last + 1]);
      path.lineTo(points[first], points[first + 1]);
    }
    return path;
  }

  // The lowest and the highest height on the screen.
  reach([, b, , d, , f]) {
    let top = Infinity, bottom = -Infinity;
    for (const [, , west, south, east, north] of this.rings) {
      const across = [b * west, b * east], up = [d * south, d * north];
      top = Math.min(top, Math.min(...across) + Math.min(...up) + f);
      bottom = Math.max(bottom, Math.max(...across) + Math.max(...up) + f);
    }
    return [top, bottom];
  }
}

// Units that a corner must be away from the last one; steps of powers of two keep zooming from making new paths all the time.
function leastAt(scale) {
  const level = Math.max(0, Math.floor(Math.log2(SEEN / scale)));
  return level === 0 ? 0 : 2 ** level;
}

function around(points, first, end) {
  let left = Infinity, bottom = Infinity, right = -Infinity, top = -Infinity;
  for (let place = first; place < end; place += 2) {
    left = Math.min(left, points[place]); right = Math.max(right, points[place]);
    bottom = Math.min(bottom, points[place + 1]); top = Math.max(top, points[place + 1]);
  }
  return [first, end, left, bottom, right, top];
}
