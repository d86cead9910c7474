// What stands beside a flat's drawing? Its heading, layers, findings, plates, steps, cautions, metal.
function fillFlat() {
  const flat = flatOf(bench.number);
  const heading = byId('flat-heading');
  heading.textContent = `Flat ${flat.number}`;
  byId('flat-words').replaceChildren(words(flat.sheet), flat.remnant ? ' (remnant)' : '', `: ${count(flat.plates, 'plate')}, ${flat.used} used, `,
    `${flat.cutting}, router ${flat.minutes} min`);
  fill('spots', plateSpots(bench.scene, bench.chosen));
  const found = bench.scene.findings.map((one) => element('li', {}, findingBox(one.finding)));
  fill('flat-findings', found.length ? element('ul', {}, found) : element('p.small', {}, 'Nothing was found on this flat.'));
  fill('flat-plates', element('ol.list', {}, bench.scene.plates.map(({ number, about }) => element('li', {},
    element('a', { href: `#flat-${flat.number}/plate-${number}`, 'data-number': number },
      element('span.count', {}, String(number)), ' ',
      element('span', {}, about.rush ? element('strong', {}, 'RUSH ') : '', words(about.job), ' ', words(about.name),
        about.findings.length ? element('span.small', {}, `, ${count(about.findings.length, 'finding')}`) : ''))))));
  const steps = flat.steps.map((step) => element('li', {}, element('strong', {}, `${step.who}: `), words(step.words),
    step.plates.length ? element('span.small', {}, ` (plates ${step.plates.join(', ')})`) : ''));
  const passes = flat.passes.map((one) => element('li', {}, element('strong', {}, words(one.name), `, from the ${one.side} side: `),
    words([one.notes, one.reason].filter(Boolean).join('; '))));
  fill('flat-steps', steps.length + passes.length ? element('ol.steps', {}, passes, steps) : element('p.small', {}, 'Nothing beside the usual.'));
  fill('flat-account', accountTable(flat.account, `weighs ${flat.weight}`));
}

function fillSide() {
  const { side, scene } = bench;
  byId('stripper-button').setAttribute('aria-pressed', String(side === 'stripper'));
  byId('metal-button').setAttribute('aria-pressed', String(side === 'metal'));
  byId('reads').textContent = side === 'metal' ? 'WRONG-READING: mirror image, as the metal is seen' : 'RIGHT-READING: as the films are laid';
  fill('layers', element('div', { role: 'group', 'aria-label': `Layers of the ${side === 'metal' ? 'metal' : "stripper's"} view` },
    layerSwitches(scene, side, ask)));
  fill('flat-cautions', element('ul', {}, flatOf(bench.number).cautions[side].map((line) => element('li', {}, line))));
  markChosen();
}

function markChosen() {
  const { plate: number } = bench.chosen;
  fillCard(number === null ? null : plateAt(bench.number, number));
  for (const spot of byId('spots').children) {
    const mine = Number(spot.dataset.number) === number;
    spot.setAttribute('aria-pressed', String(mine));
    spot.tabIndex = mine || (number === null && spot.dataset.number === '1') ? 0 : -1;
  }
  for (const link of byId('flat-plates').querySelectorAll('a')) {
    if (Number(link.dataset.number) === number) link.setAttribute('aria-current', 'true');
    else link.removeAttribute('aria-current');
  }
}

function accountTable(account, more) {
  const rows = account.map(([name, area, share]) => {
    const bar = element('div', { 'aria-hidden': 'true' });
    bar.style.width = share;
    return element('tr', {}, element('th', { scope: 'row' }, name), element('td.sum', {}, area), element('td.sum', {}, share),
      element('td.share', {}, bar));
  });
  const head = element('tr', {}, element('th', { scope: 'col' }, 'class'), element('th.sum', { scope: 'col' }, 'sq in'),
    element('th.sum', { scope: 'col' }, 'share'), element('td', {}));
  return [element('table', {}, element('thead', {}, head), element('tbody', {}, rows)), more ? element('p.small', {}, `The sheet ${more}.`) : null];
}
