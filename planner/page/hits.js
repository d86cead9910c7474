// What is under the pointer, and what can the keyboard reach on the drawing?
const probe = document.createElement('canvas').getContext('2d');

function isInside(rings, across, up) {
  return rings.text !== '' && probe.isPointInPath(rings.path(1), across * UNITS, up * UNITS, 'evenodd');
}

function plateUnder(scene, view, x, y) {
  const [across, up] = view.toFlat(x, y);
  const near = scene.plates.filter((plate) => isInside(plate.outline, across, up));
  return near[0] ?? scene.plates.find((plate) => isInside(plate.metal, across, up)) ?? null;
}

function findingUnder(scene, view, layers, stage, x, y) {
  if (!layers.has('findings')) return null;
  return scene.findings.findLast((one) => {
    const [left, top] = badgeAt(view, one, stage);
    return Math.hypot(left - x, top - y) < 16;
  }) ?? null;
}

// One button for each plate lies over it, for keyboards and screen readers; the pointer goes by the drawing.
function plateSpots(scene, chosen) {
  const first = chosen.plate ?? 1;
  return scene.plates.map((plate) => element('button', {
    type: 'button', 'data-number': plate.number, tabindex: plate.number === first ? 0 : -1,
    'aria-pressed': String(plate.number === chosen.plate),
    onclick: () => go(`flat-${scene.number}/plate-${plate.number}`),
  }, plateWords(plate.about)));
}

function placeSpots(holder, scene, view) {
  for (const spot of holder.children) {
    const plate = scene.plates[spot.dataset.number - 1];
    const [x, y, width, height] = view.boxOnScreen(plate.box);
    spot.style.transform = `translate(${Math.round(x)}px, ${Math.round(y)}px)`;
    spot.style.width = `${Math.round(width)}px`;
    spot.style.height = `${Math.round(height)}px`;
  }
}
