// What does the keyboard do? Keys of the drawing, and a few of the page; single letters can be switched off.
const KEYS = [
  ['Arrow keys', 'move the drawing'], ['+ and -', 'zoom in and out'], ['0', 'fit the flat'],
  ['V', "turn over: stripper's view, metal view"], ['N and P', 'next and previous plate'],
  ['L', 'layers'], ['Esc', 'let go of what is chosen, close the layers'], ['D', 'the day'], ['/', 'search'], ['Ctrl P', 'print sheets'], ['?', 'this list'],
];
let lettersWork = true;

const ON_DRAWING = {
  ArrowLeft: () => pan(1, 0), ArrowRight: () => pan(-1, 0), ArrowUp: () => pan(0, 1), ArrowDown: () => pan(0, -1),
};
const ON_FLAT = {
  '+': () => zoomMiddle(1.5), '=': () => zoomMiddle(1.5), '-': () => zoomMiddle(1 / 1.5), 0: fitFlat,
  v: () => turnTo(bench.side === 'metal' ? 'stripper' : 'metal'), n: () => nextPlate(1), p: () => nextPlate(-1),
  l: () => { openLayers(byId('layers-panel').hidden); byId('layers-panel').querySelector('input')?.focus(); },
  Escape: () => {
    byId('hint').hidden = true;
    if (!byId('layers-panel').hidden) { openLayers(false); byId('layers-button').focus(); return; }
    if (bench.chosen.plate || bench.chosen.finding !== null) go(`flat-${bench.number}`);
  },
};
const ON_PAGE = { '/': () => byId('search').focus(), '?': openKeys, d: () => go('day') };

function setUpKeys() {
  byId('keys-button').addEventListener('click', openKeys);
  document.addEventListener('keydown', (event) => {
    if ((event.ctrlKey || event.metaKey) && event.key.toLowerCase() === 'p') {
      event.preventDefault();
      openPrinting();
      return;
    }
    if (event.ctrlKey || event.metaKey || event.altKey || document.querySelector('dialog[open]')) return;
    if (event.target.closest('input:not([type="checkbox"]), .found')) return;
    const onFlat = !byId('flat-view').hidden;
    const key = event.key.length === 1 ? event.key.toLowerCase() : event.key;
    if (key.length === 1 && !lettersWork) return;
    const act = (onFlat && movesDrawing(event.target) && ON_DRAWING[key]) || (onFlat && ON_FLAT[key]) || ON_PAGE[key];
    if (!act) return;
    event.preventDefault();
    act();
  });
}

// Arrow keys move the drawing where it is in focus, and where they have nothing else to do.
function movesDrawing(target) {
  const { scrollHeight } = document.documentElement;
  return byId('stage').contains(target) || (scrollHeight <= window.innerHeight && !target.closest('.side, .layers, input'));
}

function openKeys() {
  const dialog = byId('keys-dialog');
  const box = element('input', { type: 'checkbox', onchange: () => { lettersWork = box.checked; } });
  box.checked = lettersWork;
  dialog.replaceChildren(element('h2', { id: 'keys-heading' }, 'Keys'),
    element('dl.keys', {}, KEYS.map(([key, what]) => element('div', {}, element('dt', {}, key), element('dd', {}, what)))),
    element('label', {}, box, 'Keys of a single sign work'),
    element('p.small', {}, 'Where the page itself scrolls, arrow keys move the drawing once it is in focus. By hand: drag to move, wheel or two fingers to zoom, tap a plate.'),
    element('div.row', {}, element('button.main', { type: 'button', onclick: () => dialog.close() }, 'Close')));
  dialog.showModal();
}
