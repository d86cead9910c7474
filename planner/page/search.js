// Where is a job, a plate, a customer? All words typed must be in what the page knows of a plate's name and job.
const MOST_FOUND = 40;

function plainWords(text) {
  return text.normalize('NFKD').replace(/\p{M}/gu, '').toLocaleLowerCase();
}

const haystacks = day.plates.map((plate) => plainWords([plate.id, plate.job, plate.name, plate.customer, plate.rush ? 'rush' : '',
  plate.flat === null ? 'held' : `flat ${plate.flat}`].join(' ')));

function setUpSearch() {
  const input = byId('search'), found = byId('search-found');
  const close = () => { found.hidden = true; };
  input.addEventListener('input', () => showFound(input.value));
  input.addEventListener('focus', () => { if (input.value.trim()) found.hidden = false; });
  input.addEventListener('keydown', (event) => {
    const links = found.querySelectorAll('a');
    if (event.key === 'Escape') { input.value = ''; close(); }
    if (event.key === 'Enter' && links.length && !found.hidden) { links[0].click(); event.preventDefault(); }
    if (event.key === 'ArrowDown' && links.length) { links[0].focus(); event.preventDefault(); }
  });
  found.addEventListener('keydown', (event) => {
    const links = [...found.querySelectorAll('a')];
    const at = links.indexOf(document.activeElement);
    if (event.key === 'ArrowDown') links[Math.min(at + 1, links.length - 1)].focus();
    else if (event.key === 'ArrowUp') (links[at - 1] ?? input).focus();
    else if (event.key === 'Escape') { close(); input.focus(); close(); } else return;
    event.preventDefault();
  });
  found.addEventListener('click', (event) => { if (event.target.closest('a')) close(); });
  document.addEventListener('pointerdown', (event) => { if (!event.target.closest('.search')) close(); });
}

function showFound(typed) {
  const asked = plainWords(typed).split(/\s+/).filter(Boolean);
  const found = byId('search-found');
  found.hidden = !asked.length;
  if (!asked.length) return;
  const plates = day.plates.filter((_, place) => asked.every((word) => haystacks[place].includes(word)));
  const told = plates.length ? count(plates.length, 'plate') : 'No plate';
  found.replaceChildren(element('p', {}, `${told} found${plates.length > MOST_FOUND ? `, the first ${MOST_FOUND} shown` : ''}`),
    ...plates.slice(0, MOST_FOUND).map((plate) => element('a', { href: plateLink(plate) },
      words(plate.job), ' ', words(plate.name),
      element('span', {}, words(plate.customer), plate.customer ? ', ' : '', plate.size, plate.flat === null ? ', held' : `, flat ${plate.flat}, plate ${plate.number}`))));
  say(`${told} found`);
}
