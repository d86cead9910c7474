// The day at a glance: figures, flats, what is held, what was found, where the metal goes, the jobs.
// Where on the page more is said of a figure at its head.
const FURTHER = { Jobs: 'jobs', Flats: 'flats-of', 'Metal used': 'account', Findings: 'findings' };

function fillDay() {
  document.title = day.title;
  fill('day-name', words(day.title));
  fill('flats', element('ul', {}, [['#day', 'The day'], ...day.flats.map((flat) => [`#flat-${flat.number}`, `Flat ${flat.number}`])].map(
    ([href, name]) => element('li', {}, element('a', { href }, name)))));
  fill('day-view',
    element('div.opening', {},
      element('h1', { id: 'day-heading', tabindex: -1 }, words(day.title)),
      element('p.paper-note', {}, 'This is the day at a glance. To print the sheets page by page, press Print on the page itself.'),
      element('dl.facts', {}, day.facts.map(([name, figure, more]) => element('div', {}, element('dt', {}, name),
        element('dd', {}, FURTHER[name] ? element('a', { href: `#day-${FURTHER[name]}`, 'aria-label': `${name}: ${figure}` }, figure) : figure), element('dd', {}, more))))),
    day.held.length ? part('held', 'Held: on no flat', element('ul', {}, day.held.map(heldBox))) : null,
    part('flats-of', 'Flats', element('ul.flat-cards', {}, day.flats.map(flatCard))),
    element('div.two', {},
      part('findings', 'Findings', findingLists()),
      element('section', {},
        part('sheets', 'Metal sheets used', table(['sheet', { of: 'how many', sum: true }, { of: 'weight', sum: true }],
          day.used.map(([sheet, many, weight]) => [words(sheet), { of: many, sum: true }, { of: weight, sum: true }]))),
        day.offcuts.length ? part('offcuts', 'Offcuts to keep', table(['name to write on it', 'flat', 'size', 'free after'],
          day.offcuts.map((one) => [words(one.name), element('a', { href: `#flat-${one.flat}/metal` }, `Flat ${one.flat}`), one.size, one.after]))) : null,
        part('account', 'Where the metal goes', accountTable(day.account)))),
    part('jobs', 'Jobs', table(['job', 'customer', 'due', 'plates'], day.jobs.map(jobRow))),
    element('section.cautions', { 'aria-labelledby': 'day-cautions' }, element('h2', { id: 'day-cautions' }, 'Cautions'),
      element('ul', {}, day.cautions.map((line) => element('li', {}, line)))),
    element('p.made', {}, `Planned with ${day.made}.`));
}

function part(name, heading, ...inside) {
  return element('section', { 'aria-labelledby': `day-${name}` }, element('h2', { id: `day-${name}`, tabindex: -1 }, heading), inside);
}

function flatCard(flat) {
  const found = day.findings.filter((finding) => finding.flat === flat.number);
  const image = element('img', { alt: '', loading: 'lazy', decoding: 'async' });
  image.src = `data:image/svg+xml,${encodeURIComponent(flat.picture)}`;
  return element('li', {}, element('a', { href: `#flat-${flat.number}` }, image, element('div', {},
    element('strong', {}, `Flat ${flat.number}`),
    element('span', {}, words(flat.sheet), flat.remnant ? ' (remnant)' : ''),
    element('span', {}, `${count(flat.plates, 'plate')}, ${flat.used} used, ${flat.cutting}`),
    element('span', {}, flat.minutes ? `router ${flat.minutes} min` : 'nothing to rout',
      found.length ? `, ${count(found.length, 'finding')}` : ''))));
}

function heldBox(held) {
  const place = day.plates.findIndex((plate) => plate.id === held.plate);
  const { size, customer } = day.plates[place];
  return element('li.gap', { id: `held-${place}`, tabindex: -1 }, element('div.finding.stop', {},
    element('p', {}, element('strong', {}, words(held.plate)), customer ? [', ', words(customer)] : '', `, ${size}`),
    element('p', {}, 'It ', words(held.reason), '.')));
}

function findingLists() {
  const titles = { stop: 'Must be cured first', warn: 'Wants a look', note: 'Good to know' };
  const lists = day.severities.map((severity) => {
    const places = day.findings.map((_, place) => place).filter((place) => day.findings[place].severity === severity);
    return places.length ? [element('h3', {}, `${titles[severity] ?? severity}: ${places.length}`),
      element('ul', {}, places.map((place) => element('li.gap', { id: `told-${place + 1}`, tabindex: -1 }, findingBox(place))))] : [];
  }).flat();
  return lists.length ? lists : element('p', {}, 'Nothing was found.');
}

function jobRow(job) {
  const plates = job.plates.map((place) => day.plates[place]);
  const links = plates.slice(0, 24).map((plate, place) => [place ? '; ' : '', element('a', { href: plateLink(plate) },
    words(plate.name), plate.flat === null ? ' (held)' : '')]);
  return [[job.rush ? element('strong', {}, 'RUSH ') : '', words(job.number)], words(job.customer), element('span.nowrap', {}, job.due),
    [`${plates.length}: `, ...links.flat(), plates.length > 24 ? ` and ${plates.length - 24} more` : '']];
}
