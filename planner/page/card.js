// What is known of one plate? Its card, the hint under the pointer, and the words a screen reader says of it.
function plateWords(plate) {
  const found = plate.findings.length ? `, ${count(plate.findings.length, 'finding')}` : '';
  return `Plate ${plate.number}: job ${plate.job}, ${plate.name}, ${plate.size}${found}`;
}

function plateLink(plate) {
  return plate.flat === null ? `#held-${day.plates.indexOf(plate)}` : `#flat-${plate.flat}/plate-${plate.number}`;
}

function fillCard(plate) {
  const card = byId('card');
  if (plate && card.dataset.plate !== plate.id) card.parentElement.scrollTop = 0; // a list below may have been read before
  card.dataset.plate = plate?.id ?? '';
  if (!plate) {
    fill('card', element('h2', { id: 'card-heading' }, 'Plate'),
      element('p.small', {}, 'Choose a plate on the drawing or in the list to see its job, allowances, findings and router time.'));
    return;
  }
  fill('card', element('h2', { id: 'card-heading' }, plate.number ? `Plate ${plate.number}: ` : '', words(plate.name)),
    cardFacts(plate),
    plate.findings.length ? [element('h3', {}, 'Found'), element('ul.more', {}, plate.findings.map(findingLine))] : null,
    element('h3', {}, 'Allowances, and who asked'),
    plate.allowances.length ? element('ul.more', {}, plate.allowances.map((one) => element('li', {}, words(one))))
      : element('p.small', {}, 'None: it needs no more than its own size.'),
    plate.reasons.length ? [element('h3', {}, 'Further reasons'),
      element('ul.more', {}, plate.reasons.map((one) => element('li', {}, words(one))))] : null,
    plate.notes ? [element('h3', {}, 'Notes'), element('p', {}, words(plate.notes))] : null);
}

function cardFacts(plate) {
  const job = day.jobs.find((one) => one.number === plate.job);
  const facts = [
    ['Job', [plate.rush ? element('strong', {}, 'RUSH ') : null, words(plate.job)]],
    ['Customer', plate.customer ? words(plate.customer) : null],
    ['Due', job?.due],
    ['Size', plate.size],
    ['Lies', plate.corner],
    ['Turned', plate.turned ? `${plate.turned} degrees anticlockwise` : null],
    ...plate.facts.map(([name, text]) => [name, words(text)]),
    ['Router', plate.router ? plate.router.words : 'nothing to rout'],
    ['Films', plate.films.length ? words(plate.films.join('; ')) : null],
  ];
  return element('dl', {}, facts.filter(([, what]) => what).map(
    ([name, what]) => element('div', {}, element('dt', {}, name), element('dd', {}, what))));
}

function findingLine(place) {
  const finding = day.findings[place];
  return element('li', {}, element('a', { href: `#finding-${place + 1}` },
    element('strong', {}, `${finding.severity} ${place + 1}: `), words(finding.message)),
  finding.cure ? element('p.small', {}, 'Cure: ', words(finding.cure)) : null);
}

function findingBox(place, link = true) {
  const finding = day.findings[place];
  const about = finding.plate ? day.plates.find((plate) => plate.id === finding.plate) : null;
  return element(`div.finding.${finding.severity}`, {},
    element('p', {}, element('span.tag', {}, `${finding.severity} ${place + 1}`), ' ',
      finding.plate ? words(finding.plate) : 'the whole day', finding.flat === null ? '' : `, flat ${finding.flat}`),
    element('p', {}, words(finding.message)),
    finding.cure ? element('p.small', {}, 'Cure: ', words(finding.cure)) : null,
    element('p.small', {}, [finding.code, finding.rule, finding.amount].filter(Boolean).join(', ')),
    link && finding.flat !== null ? element('a', { href: `#finding-${place + 1}` }, `Show finding ${place + 1} on flat ${finding.flat}`)
      : link && about ? element('a', { href: plateLink(about) }, about.flat === null ? 'Show the held plate' : `Show plate ${about.number} on flat ${about.flat}`) : null);
}

// The card in brief, beside the pointer.
function fillHint(plate, [x, y], stage) {
  const hint = byId('hint');
  hint.replaceChildren(
    element('strong', {}, `${plate.number}  `, words(plate.name)),
    element('div', {}, plate.rush ? 'RUSH ' : '', 'job ', words(plate.job), plate.customer ? [', ', words(plate.customer)] : []),
    element('div', {}, `${plate.size}; ${plate.router ? `router ${plate.router.minutes} min` : 'nothing to rout'}`),
    element('ul', {}, plate.findings.map((place) => element(`li.${day.findings[place].severity}`, {},
      `${day.findings[place].severity} ${place + 1}: `, words(day.findings[place].message))),
    plate.allowances.slice(0, 5).map((one) => element('li', {}, words(one))),
    plate.allowances.length > 5 ? element('li', {}, `and ${plate.allowances.length - 5} more`) : null));
  hint.hidden = false;
  const left = x + 18 + hint.offsetWidth > stage.width ? x - 18 - hint.offsetWidth : x + 18;
  hint.style.left = `${Math.max(4, left)}px`;
  hint.style.top = `${Math.max(4, Math.min(y + 12, stage.height - hint.offsetHeight - 4))}px`;
}
