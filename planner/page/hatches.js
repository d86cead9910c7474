// How does each kind of area look? By a hatch that is told apart without colour; pixels, whatever the zoom.
const TILES = new Map();

// Lines at 0, 45, 90 or 135 degrees, or dots, on a square tile.
const HATCHES = {
  offcut: { tile: 14, ways: [45], ink: 'green', width: 1 },
  scrap: { tile: 9, ways: [0], ink: 'grip', width: 1 },
  grip: { tile: 6, ways: [135], ink: 'grip', width: 1 },
  flange: { tile: 5, ways: [0], ink: 'soft', width: 1 },
  staying: { tile: 7, ways: [0, 90], ink: 'ink', width: 1 },
  tint: { tile: 7, dots: 1.3, ink: 'purple' },
  line: { tile: 7, ways: [45], ink: 'art', width: 1.2 },
  square: { tile: 7, ways: [45, 135], ink: 'art', width: 0.8 },
  silhouette: { tile: 7, ways: [135], ink: 'art', width: 1.2 },
  'drop-out': { tile: 6, dots: 1.1, ink: 'art' },
  combination: { tile: 7, ways: [90], ink: 'art', width: 1.2 },
  surprint: { tile: 6, ways: [90], ink: 'blue', width: 1.5 },
  reverse: { tile: 6, ways: [0], ink: 'orange', width: 1.5 },
  image: { tile: 7, ways: [0], ink: 'art', width: 1 },
  hand: { tile: 5, ways: [45, 135], ink: 'orange', width: 1 },
  'zone-0': { tile: 10, ways: [45], ink: 'blue', width: 1.2 },
  'zone-1': { tile: 7, ways: [135], ink: 'blue', width: 1.2 },
  'zone-2': { tile: 6, ways: [90], ink: 'blue', width: 1.2 },
  'zone-3': { tile: 7, ways: [45, 135], ink: 'blue', width: 0.8 },
  'zone-4': { tile: 5, dots: 1, ink: 'blue' },
  'zone-5': { tile: 4, ways: [45], ink: 'blue', width: 1 },
  opens: { tile: 8, ways: [90], ink: 'purple', width: 1 },
  mask: { tile: 6, ways: [45], ink: 'purple', width: 2 },
  mark: { tile: 12, ways: [135], ink: 'green', width: 1 },
  spot: { tile: 8, ways: [135], ink: 'purple', width: 2 },
};

function hatchOf(name) {
  return HATCHES[name] ?? HATCHES.image;
}

function zoneKind(cutter) {
  return cutter === null ? 'hand' : `zone-${cutter % 6}`;
}

function tileOf(name, ratio) {
  const hatch = hatchOf(name);
  const key = `${name} ${ratio} ${inks()[hatch.ink]}`;
  if (!TILES.has(key)) {
    const size = Math.round(hatch.tile * ratio);
    const tile = element('canvas', { width: size, height: size });
    const pen = tile.getContext('2d');
    pen.strokeStyle = pen.fillStyle = inks()[hatch.ink];
    pen.lineWidth = hatch.width * ratio;
    if (hatch.dots) {
      pen.arc(size / 2, size / 2, hatch.dots * ratio, 0, 7);
      pen.fill();
    }
    for (const way of hatch.ways ?? []) {
      pen.beginPath();
      if (way === 0) { pen.moveTo(0, size / 2); pen.lineTo(size, size / 2); }
      if (way === 90) { pen.moveTo(size / 2, 0); pen.lineTo(size / 2, size); }
      // Slanted lines go on in the neighbouring tiles' corners.
      if (way === 45) for (const off of [-size, 0, size]) { pen.moveTo(off - 1, size + 1); pen.lineTo(off + size + 1, -1); }
      if (way === 135) for (const off of [-size, 0, size]) { pen.moveTo(off - 1, -1); pen.lineTo(off + size + 1, size + 1); }
      pen.stroke();
    }
    TILES.set(key, tile);
  }
  return TILES.get(key);
}

// A pattern that stands still on the sheet: it moves with the drawing, but neither grows nor turns over.
function hatchFor(pen, name, ratio) {
  const pattern = pen.createPattern(tileOf(name, ratio), 'repeat');
  const place = pen.getTransform();
  pattern.setTransform(place.inverse().translateSelf(place.e, place.f));
  return pattern;
}
