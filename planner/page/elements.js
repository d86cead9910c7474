// How do words get onto the page? Always as text, never as markup.
function element(tag, given = {}, ...inside) {
  const [name, ...classes] = tag.split('.');
  const made = document.createElement(name);
  if (classes.length) made.className = classes.join(' ');
  for (const [key, value] of Object.entries(given)) {
    if (value === null || value === undefined || value === false) continue;
    if (key.startsWith('on')) made.addEventListener(key.slice(2), value);
    else made.setAttribute(key, value === true ? '' : value);
  }
  made.append(...inside.flat(Infinity).filter((one) => one !== null && one !== undefined && one !== ''));
  return made;
}

// What people wrote may run from right to left; it keeps that to itself.
function words(text) {
  return element('bdi', {}, text);
}

function byId(id) {
  return document.getElementById(id);
}

function fill(id, ...inside) {
  byId(id).replaceChildren(...inside.flat(Infinity).filter(Boolean));
}

// Said to who cannot see what changed.
function say(text) {
  byId('said').textContent = text;
}

function table(heads, rows) {
  const cell = (tag, one) => element(one.sum ? `${tag}.sum` : tag, tag === 'th' ? { scope: 'col' } : {}, one.of ?? one);
  return element('div.wide', {},
    element('table', {},
      element('thead', {}, element('tr', {}, heads.map((one) => cell('th', one)))),
      element('tbody', {}, rows.map((row) => element('tr', {}, row.map((one) => cell('td', one)))))));
}

const calm = window.matchMedia('(prefers-reduced-motion: reduce)');
