// What is shown in which view? Each view keeps its own choice of layers.
const LAYERS = [
  ['metal', 'Metal: grip, offcuts, scrap', 'offcut', ['stripper', 'metal']],
  ['cuts', 'Cuts, numbered', null, ['metal']],
  ['art', 'Art and images', 'line', ['stripper', 'metal']],
  ['films', 'Films', null, ['stripper']],
  ['tints', 'Tints', 'tint', ['stripper']],
  ['zones', 'Dead metal by cutter', 'zone-0', ['metal']],
  ['flange', 'Flange and shoulder', 'flange', ['metal']],
  ['staying', 'Metal that must stay', 'staying', ['metal']],
  ['nails', 'Nails', null, ['metal']],
  ['passes', 'Passes over the whole flat', 'opens', []],
  ['marks', 'Marks of house rules', 'mark', []],
  ['findings', 'Findings', null, ['stripper', 'metal']],
  ['labels', 'Numbers and names', null, ['stripper', 'metal']],
];

const layersShown = Object.fromEntries(['stripper', 'metal'].map(
  (side) => [side, new Set(LAYERS.filter(([, , , sides]) => sides.includes(side)).map(([name]) => name))]));

// A layer with nothing in it on this flat is not offered.
function layersOf(scene) {
  const has = {
    cuts: scene.cuts.length,
    tints: scene.plates.some((plate) => plate.tints.length),
    films: scene.plates.some((plate) => plate.films.length),
    zones: scene.plates.some((plate) => plate.zones.length),
    flange: scene.plates.some((plate) => plate.flange.text),
    staying: scene.plates.some((plate) => plate.staying.text),
    nails: scene.plates.some((plate) => plate.nails.length),
    passes: scene.passes.length,
    marks: scene.marks.length,
    findings: scene.findings.length,
  };
  return LAYERS.filter(([name]) => has[name] ?? true);
}

function layerSwitches(scene, side, changed) {
  return layersOf(scene).map(([name, label, hatch]) => {
    const swatch = element('canvas', { width: 72, height: 44, 'aria-hidden': 'true' });
    drawSwatch(swatch.getContext('2d'), name, hatch);
    const box = element('input', {
      type: 'checkbox', 'data-layer': name,
      onchange: () => {
        layersShown[side][box.checked ? 'add' : 'delete'](name);
        changed();
        say(`${label}: ${box.checked ? 'shown' : 'hidden'}`);
      },
    });
    box.checked = layersShown[side].has(name);
    return element('label.layer', {}, box, swatch, element('span', {}, label));
  });
}

function drawSwatch(pen, name, hatch) {
  const ink = inks();
  pen.fillStyle = ink.plate;
  pen.fillRect(0, 0, 72, 44);
  if (hatch) {
    pen.fillStyle = hatchFor(pen, hatch, 2);
    pen.fillRect(0, 0, 72, 44);
    return;
  }
  pen.lineWidth = 4;
  pen.strokeStyle = { cuts: ink.orange, films: ink.blue, nails: ink.ink, findings: ink.stop }[name] ?? ink.ink;
  pen.setLineDash({ cuts: [14, 6], films: [10, 5], findings: [4, 5] }[name] ?? []);
  if (name === 'labels') {
    pen.fillStyle = ink.ink;
    pen.font = 'bold 28px sans-serif';
    pen.fillText('12', 20, 32);
  } else if (name === 'nails') {
    pen.strokeRect(29, 15, 14, 14);
  } else {
    pen.beginPath();
    pen.moveTo(0, 22);
    pen.lineTo(72, 22);
    pen.stroke();
  }
}
