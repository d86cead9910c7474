// What is drawn anew in every frame? What is light, and what must stay sharp: outlines, cuts, names, findings, the choice.
const FONT = '"Liberation Sans", Arial, "Noto Sans", sans-serif';
const widths = new Map();

function drawOverlay(pen, scene, view, layers, stage, chosen) {
  const { ratio } = stage;
  pen.setTransform(1, 0, 0, 1, 0, 0);
  pen.clearRect(0, 0, stage.width * ratio, stage.height * ratio);
  const brush = new Brush(pen, view, ratio);
  const ink = inks();
  const inSight = scene.plates.filter((plate) => isInSight(view.boxOnScreen(plate.box), stage));
  for (const plate of inSight) brush.stroke(plate.metal, ink.soft, 0.6);
  for (const plate of inSight) brush.stroke(plate.outline, ink.ink, 1.4);
  if (layers.has('films')) {
    const dashes = { base: [9, 5], surprint: [12, 3, 2, 3], reverse: [3, 3] };
    const colours = { base: ink.soft, surprint: ink.blue, reverse: ink.orange };
    for (const plate of inSight) for (const film of plate.films) brush.stroke(film.rings, colours[film.use], 1.3, dashes[film.use]);
  }
  pen.setTransform(ratio, 0, 0, ratio, 0, 0);
  if (layers.has('marks')) for (const mark of scene.marks) drawMark(pen, view, mark, ink);
  const badges = layers.has('findings') ? scene.findings.map((one) => badgeAt(view, one, stage)) : [];
  const edge = view.boxOnScreen([0, 0, scene.width, scene.height]);
  pen.strokeStyle = ink.ink;
  pen.lineWidth = 2;
  pen.strokeRect(...edge);
  if (layers.has('cuts')) drawCuts(pen, view, scene.cuts, ink, stage, badges);
  for (const [number, colour, width] of [[chosen.over, ink.accent, 2], [chosen.plate, ink.accent, 4]]) {
    const plate = scene.plates.find((one) => one.number === number);
    if (plate) brush.stroke(plate.outline, colour, width);
  }
  if (layers.has('findings')) for (const one of scene.findings) {
    brush.fill(one.rings, ink[one.severity], EMPTY, 0.12);
    brush.stroke(one.rings, ink[one.severity], 2, [3, 4]);
  }
  pen.setTransform(ratio, 0, 0, ratio, 0, 0);
  if (layers.has('labels') && layers.has('metal')) for (const one of scene.offcuts) drawOffcut(pen, view.boxOnScreen(one.box), one, ink);
  if (layers.has('labels')) for (const plate of inSight) drawLabel(pen, view.boxOnScreen(plate.box), plate, ink, stage, badges);
  if (layers.has('findings')) scene.findings.forEach((one, place) => drawBadge(pen, badges[place], one, ink));
  const found = scene.findings.find((one) => one.finding === chosen.finding);
  if (found) drawHalo(pen, view.boxOnScreen(found.box), ink);
}

function isInSight([x, y, width, height], stage) {
  return x < stage.width && y < stage.height && x + width > 0 && y + height > 0;
}

function drawCuts(pen, view, cuts, ink, stage, badges) {
  const lines = cuts.map((cut) => [cut, view.toScreen(cut.ends[0], cut.ends[1]), view.toScreen(cut.ends[2], cut.ends[3])]);
  pen.strokeStyle = ink.orange;
  pen.setLineDash([12, 4]);
  for (const [cut, start, end] of lines) {
    pen.lineWidth = Math.max(1.5, cut.kerf * view.scale);
    pen.beginPath();
    pen.moveTo(...start);
    pen.lineTo(...end);
    pen.stroke();
  }
  pen.setLineDash([]);
  pen.lineWidth = 1.5;
  const taken = [...badges];
  for (const [cut, start, end] of lines) {
    const at = numberPlace(start, end, taken, stage);
    if (!at) continue;
    taken.push(at);
    pen.fillStyle = ink.paper;
    pen.beginPath();
    pen.arc(...at, 9.5, 0, 7);
    pen.fill();
    pen.stroke();
    write(pen, String(cut.number), at[0], at[1], 'bold 11px', ink.ink, 'center');
  }
}

// A cut's number stands on its line, by the end that is nearer to the upper left, where no other number stands.
function numberPlace(start, end, taken, stage) {
  const [from, to] = start[0] + start[1] <= end[0] + end[1] ? [start, end] : [end, start];
  const length = Math.hypot(to[0] - from[0], to[1] - from[1]) || 1;
  const on = (along) => [from[0] + (to[0] - from[0]) * along / length, from[1] + (to[1] - from[1]) * along / length];
  for (let along = Math.min(11, length / 2); along <= length; along += 7) {
    const [x, y] = on(along);
    if (x < 0 || y < 0 || x > stage.width || y > stage.height) continue;
    if (taken.every((other) => Math.hypot(other[0] - x, other[1] - y) > 21)) return [x, y];
  }
  return null;
}

function drawMark(pen, view, mark, ink) {
  pen.strokeStyle = ink.green;
  pen.lineWidth = 1.4;
  if (mark.kind === 'line') {
    pen.setLineDash([9, 3, 2, 3]);
    for (const line of mark.lines) {
      pen.beginPath();
      for (let place = 0; place < line.length; place += 2) pen.lineTo(...view.toScreen(line[place] / UNITS, line[place + 1] / UNITS));
      pen.stroke();
    }
    pen.setLineDash([]);
  }
  for (const point of mark.points) {
    const [x, y] = view.toScreen(...point);
    if (mark.kind === 'text') write(pen, shortened(pen, mark.words, 200, '12px'), x, y, '12px', ink.green, 'left');
    else {
      const arm = Math.max(5, view.scale / 8);
      pen.beginPath();
      pen.moveTo(x - arm, y); pen.lineTo(x + arm, y); pen.moveTo(x, y - arm); pen.lineTo(x, y + arm);
      pen.stroke();
    }
  }
}

// Number and job, then the name, then the size, as far as there is room; in the upper left of what is seen of the plate.
function drawLabel(pen, [x, y, width, height], plate, ink, stage, badges) {
  const left = Math.max(x, 0) + 3;
  let top = Math.max(y, 0) + 3;
  const room = [Math.min(x + width, stage.width) - left - 3, Math.min(y + height, stage.height) - top - 3];
  const { about } = plate;
  // On a small plate its number alone, as small as it is still read.
  const small = room[0] < 15 || room[1] < 15;
  const lines = [[String(plate.number), small ? 'bold 10px' : 'bold 13px']];
  if (room[0] < (small ? widthOf(pen, ...lines[0]) : 15) || room[1] < 10) return;
  const named = room[0] > 130 && room[1] > 60 && shortened(pen, `${plate.number}  ${about.rush ? 'RUSH ' : ''}${about.job}`, room[0] / 2, 'bold 13px');
  // Half a job's number would name another job.
  if (named && !named.endsWith('…')) lines[0][0] = named;
  if (room[0] > 210 && room[1] > 150) lines.push([shortened(pen, about.name, room[0] / 2, '12px'), '12px']);
  if (room[0] > 260 && room[1] > 220) lines.push([shortened(pen, about.size, room[0] / 2, '12px'), '12px']);
  // A finding's sign keeps the corner where both would stand.
  const signs = badges.some(([across, down]) => across > left - 16 && across < left + 80 && down > top - 16 && down < top + 32);
  if (signs) top += 34;
  const air = small ? 1 : 4;
  const wide = Math.max(...lines.map(([text, font]) => widthOf(pen, text, font))) + 2 * air;
  pen.fillStyle = ink.label;
  pen.globalAlpha = 0.9;
  pen.fillRect(left, top, wide, small ? 10 : lines.length * 16 + 3);
  pen.globalAlpha = 1;
  lines.forEach(([text, font], place) => write(pen, text, left + air, top + (small ? 5 : 10 + 16 * place), font, ink.ink, 'left'));
}

// What goes back on the rack, with the name to be written on it; the fuller the more room there is.
function drawOffcut(pen, [x, y, width, height], offcut, ink) {
  const lines = [['OFFCUT', 'bold 13px'], [offcut.name, 'bold 12px'], [offcut.size, '12px']].slice(0, Math.floor((height - 8) / 16));
  const shownLines = lines.map(([text, font]) => [shortened(pen, text, width - 16, font), font]);
  if (!lines.length || width < 60) return;
  const wide = Math.max(...shownLines.map(([text, font]) => widthOf(pen, text, font))) + 8;
  const [left, top] = [x + (width - wide) / 2, y + (height - shownLines.length * 16) / 2];
  pen.fillStyle = ink.label;
  pen.globalAlpha = 0.9;
  pen.fillRect(left, top - 2, wide, shownLines.length * 16 + 3);
  pen.globalAlpha = 1;
  shownLines.forEach(([text, font], place) => write(pen, text, x + width / 2, top + 8 + 16 * place, font, ink.ink, 'center'));
}

function badgeAt(view, finding, stage) {
  const [x, y, width] = view.boxOnScreen(finding.box);
  const of = day.findings.slice(0, finding.finding).filter((one) => one.plate === finding.plate && one.flat === finding.flat);
  return [Math.min(Math.max(x + width - 12 - 26 * of.length, 14), Math.max(stage.width - 14, 14)),
    Math.min(Math.max(y + 13, 14), Math.max(stage.height - 14, 14))];
}

// Stop is an eight-cornered sign, a warning a triangle, a note a disc: told apart without colour.
function drawBadge(pen, [x, y], finding, ink) {
  const corners = { stop: 8, warn: 3 }[finding.severity] ?? 40;
  const radius = corners === 3 ? 15 : 12;
  pen.beginPath();
  for (let corner = 0; corner < corners; corner++) {
    const angle = 2 * Math.PI * (corner / corners) + (corners === 3 ? -Math.PI / 2 : Math.PI / 8);
    pen.lineTo(x + radius * Math.cos(angle), y + radius * Math.sin(angle));
  }
  pen.closePath();
  pen.fillStyle = ink.paper;
  pen.strokeStyle = ink[finding.severity];
  pen.lineWidth = 2.5;
  pen.fill();
  pen.stroke();
  write(pen, String(finding.finding + 1), x, y + (corners === 3 ? 2 : 0), 'bold 11px', ink[finding.severity], 'center');
}

function drawHalo(pen, [x, y, width, height], ink) {
  pen.strokeStyle = ink.accent;
  pen.lineWidth = 3;
  pen.strokeRect(x - 8, y - 8, width + 16, height + 16);
}

function write(pen, text, x, y, font, colour, align) {
  pen.font = `${font} ${FONT}`;
  pen.fillStyle = colour;
  pen.textAlign = align;
  pen.textBaseline = 'middle';
  pen.fillText(text, x, y);
}

function widthOf(pen, text, font) {
  const key = `${font} ${text}`;
  if (!widths.has(key)) {
    if (widths.size > 4000) widths.clear();
    pen.font = `${font} ${FONT}`;
    widths.set(key, pen.measureText(text).width);
  }
  return widths.get(key);
}

function shortened(pen, text, room, font) {
  if (widthOf(pen, text, font) <= room) return text;
  const signs = [...text].slice(0, 120);
  let [fits, not] = [0, signs.length];
  while (not - fits > 1) {
    const middle = (fits + not) >> 1;
    if (widthOf(pen, `${signs.slice(0, middle).join('')}…`, font) <= room) fits = middle; else not = middle;
  }
  return `${signs.slice(0, fits).join('')}…`;
}
