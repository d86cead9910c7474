// What does the address show? #day, #flat-3, #flat-3/plate-2, #flat-3/metal, #finding-2, #held-7.
function go(where) {
  if (location.hash === `#${where}`) follow();
  else location.hash = where;
}

function follow() {
  const steps = location.hash.slice(1).split('/');
  const number = (kind) => {
    const step = steps.find((one) => new RegExp(`^${kind}-\\d{1,6}$`).test(one));
    return step === undefined ? null : Number(step.slice(kind.length + 1));
  };
  const finding = number('finding');
  const found = finding === null ? null : day.findings[finding - 1];
  const flat = found ? found.flat : number('flat');
  if (flat === null || !flatOf(flat)) { showDay(number('held')); return; }
  const plate = found ? day.plates.find((one) => one.id === found.plate && one.flat === flat)?.number ?? null : number('plate');
  const known = plate !== null && plateAt(flat, plate) ? plate : null;
  const fresh = byId('flat-view').hidden || flat !== bench.number;
  show('flat-view', `#flat-${flat}`);
  openFlat(flat, { plate: known, finding: found ? finding - 1 : null }, steps.find((one) => one === 'metal' || one === 'stripper'));
  if (fresh && !byId('stage').contains(document.activeElement)) byId('flat-heading').focus({ preventScroll: true });
  if (found) followFinding(finding - 1);
  else if (known !== null) showPlate(known);
  else if (fresh) say(`Flat ${flat}`);
}

function followFinding(place) {
  layersShown[bench.side].add('findings');
  fillSide();
  goTo(bench.scene.findings.find((one) => one.finding === place).box, 120);
  const finding = day.findings[place];
  say(`${finding.severity} ${place + 1} on flat ${finding.flat}: ${finding.message}`);
  if (matchMedia('(max-width: 1099px)').matches) byId('stage').scrollIntoView({ block: 'center' });
}

function showDay(held) {
  const fresh = byId('day-view').hidden;
  show('day-view', '#day');
  const place = held === null ? null : byId(`held-${held}`);
  if (place) { place.focus(); place.scrollIntoView({ block: 'center' }); }
  else if (fresh) { byId('day-heading').focus(); window.scrollTo(0, 0); say('The day'); }
}

function show(view, link) {
  for (const name of ['day-view', 'flat-view']) byId(name).hidden = name !== view;
  for (const one of byId('flats').querySelectorAll('a')) {
    if (one.getAttribute('href') === link) { one.setAttribute('aria-current', 'page'); one.scrollIntoView({ block: 'nearest', inline: 'nearest' }); }
    else one.removeAttribute('aria-current');
  }
}
