// What does the address show? #day, #day-findings, #flat-3, #flat-3/plate-2, #flat-3/metal, #finding-2, #held-7.
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
  if (flat === null || !flatOf(flat)) { showDay(found ? `told-${finding}` : steps[0]); return; }
  const plate = found ? day.plates.find((one) => one.id === found.plate && one.flat === flat)?.number ?? null : number('plate');
  const known = plate !== null && plateAt(flat, plate) ? plate : null;
  const fresh = byId('flat-view').hidden || flat !== bench.number;
  show('flat-view', `#flat-${flat}`);
  openFlat(flat, { plate: known, finding: found ? finding - 1 : null }, steps.find((one) => one === 'metal' || one === 'stripper'));
  if (fresh && !byId('stage').contains(document.activeElement)) byId('flat-heading').focus({ preventScroll: true });
  if (found) followFinding(finding - 1);
  else if (known !== null) showPlate(known);
  else if (fresh) say(`Flat ${flat}`);
  // Where the drawing stands above a long page, whoever chose something far below wants to see it.
  if (found || known !== null) byId('stage').scrollIntoView({ block: 'nearest' });
}

function followFinding(place) {
  layersShown[bench.side].add('findings');
  fillSide();
  goTo(bench.scene.findings.find((one) => one.finding === place).box, 120);
  const finding = day.findings[place];
  say(`${finding.severity} ${place + 1} on flat ${finding.flat}: ${finding.message}`);
}

// Whoever comes back to the day finds it as it was left.
const dayLeft = { where: '', down: 0, focus: null };

// The day, from its beginning or from a part of it: a held plate, a finding that is on no flat, a heading.
function showDay(part) {
  const fresh = byId('day-view').hidden;
  show('day-view', '#day');
  const place = /^(held|told|day)-[\w-]+$/.test(part) ? byId('day-view').querySelector(`#${part}`) : null;
  const back = fresh && dayLeft.focus && (!place || dayLeft.where === part);
  dayLeft.where = part;
  if (place && !back) {
    place.focus({ preventScroll: true });
    place.scrollIntoView({ block: place.matches('h1, h2') ? 'start' : 'center' });
  } else if (fresh) {
    (back ? dayLeft.focus : byId('day-heading')).focus({ preventScroll: true });
    window.scrollTo(0, dayLeft.down);
    say('The day');
  }
}

function show(view, link) {
  if (view !== 'day-view' && !byId('day-view').hidden) {
    dayLeft.down = window.scrollY;
    dayLeft.focus = byId('day-view').contains(document.activeElement) ? document.activeElement : null;
  }
  document.title = view === 'day-view' ? day.title : `${day.title}, ${link.replace('#flat-', 'flat ')}`;
  document.documentElement.classList.toggle('at-flat', view === 'flat-view');
  for (const name of ['day-view', 'flat-view']) byId(name).hidden = name !== view;
  for (const one of byId('flats').querySelectorAll('a')) {
    if (one.getAttribute('href') === link) { one.setAttribute('aria-current', 'page'); one.scrollIntoView({ block: 'nearest', inline: 'center' }); }
    else one.removeAttribute('aria-current');
  }
}
