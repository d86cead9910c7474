// What lies on one flat? Its shapes, read from the page's data once; what several plates share is kept once.
const scenes = new Map();
const sharedArt = new Map();
const sharedWork = new Map();
const EMPTY = [1, 0, 0, 1, 0, 0];

function sceneOf(number) {
  if (!scenes.has(number)) scenes.set(number, readScene(data(`flat-${number}`)));
  return scenes.get(number);
}

function readScene(told) {
  return {
    ...told,
    grip: new Rings(told.grip), usable: new Rings(told.usable), spots: new Rings(told.spots), kerf: new Rings(told.kerf),
    rests: told.rests.map((rest) => ({ use: rest.use, rings: new Rings(rest.path) })),
    plates: told.plates.map(readPlate),
    findings: told.findings.map((one) => ({ ...one, ...day.findings[one.finding], rings: new Rings(one.path) })),
    passes: told.passes.map((one) => (
      { ...one, opens: new Rings(one.opens), mask: new Rings(one.mask), frame: new Rings(one.frame) })),
    marks: told.marks.map((mark) => ({ ...mark, rings: new Rings(mark.path) })),
  };
}

function readPlate(told) {
  const work = told.work ? workOf(told.work.work) : { zones: [], nails: [] };
  const by = told.work ? told.work.by : EMPTY;
  return {
    ...told,
    about: day.plates[told.plate],
    outline: new Rings(told.outline), metal: new Rings(told.metal), printing: new Rings(told.printing),
    flange: new Rings(told.flange), staying: new Rings(told.staying),
    films: told.films.map((film) => ({ use: film.use, rings: new Rings(film.path) })),
    images: told.images.map((image) => ({ kind: image.kind, rings: new Rings(image.path) })),
    art: told.art.map((one) => ({ ...artOf(one.art), kind: one.kind, by: one.by })),
    tints: told.tints.map((tint) => new Rings(tint.path)),
    zones: [...work.zones.map((zone) => ({ ...zone, by })),
      ...told.zones.map(([cutter, path]) => ({ cutter, rings: new Rings(path), by: EMPTY }))],
    nails: work.nails.map(([x, y]) => [
      by[0] * x / UNITS + by[2] * y / UNITS + by[4], by[1] * x / UNITS + by[3] * y / UNITS + by[5]]),
  };
}

function artOf(place) {
  if (!sharedArt.has(place)) {
    const told = data(`art-${place}`);
    sharedArt.set(place, { rings: new Rings(told.path), unit: told.unit });
  }
  return sharedArt.get(place);
}

function workOf(place) {
  if (!sharedWork.has(place)) {
    const told = data(`work-${place}`);
    sharedWork.set(place, {
      zones: told.zones.map(([cutter, path]) => ({ cutter, rings: new Rings(path) })), nails: told.nails });
  }
  return sharedWork.get(place);
}
