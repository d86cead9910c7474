// How do the sheets get onto paper? Unpacked when somebody wants to print, each an image on a page of its own.
let sheetsUnpacked = null;
let sheetImages = [];

async function unpackSheets() {
  if (sheetsUnpacked) return sheetsUnpacked;
  if (typeof DecompressionStream === 'undefined') {
    throw new Error('This browser is too old to unpack the sheets. Print the SVG files that lie beside this page instead.');
  }
  const signs = atob(byId('data-sheets').textContent);
  const bytes = Uint8Array.from(signs, (sign) => sign.charCodeAt(0));
  const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream('gzip'));
  const { paths, sheets } = JSON.parse(await new Response(stream).text());
  sheetsUnpacked = (file) => sheets[file].map((piece) => (typeof piece === 'number' ? paths[piece] : piece)).join('');
  return sheetsUnpacked;
}

// The pages are ready when every image is decoded: a print does not wait.
async function prepareSheets(chosen) {
  const textOf = await unpackSheets();
  forgetSheets();
  const figures = chosen.map((sheet) => {
    const image = element('img', { alt: sheet.title });
    image.src = URL.createObjectURL(new Blob([textOf(sheet.file)], { type: 'image/svg+xml' }));
    sheetImages.push(image);
    return element(`figure${sheet.wide ? '.lying' : ''}`, {}, element('figcaption', {}, words(sheet.title),
      `. Scaled to fit the paper: true size is in the file ${sheet.file}.`), image);
  });
  const printed = byId('printed');
  printed.replaceChildren(element('div.cover', {}, element('h1', {}, words(day.title)),
    element('p', {}, `${count(chosen.length, 'sheet')}, each on a page, scaled to fit the paper. True size is in the SVG files of the same names.`),
    element('ol', {}, chosen.map((sheet) => element('li', {}, words(sheet.title), ` (${sheet.file})`))),
    element('h2', {}, 'Cautions'), element('ul', {}, day.cautions.map((line) => element('li', {}, line)))), ...figures);
  printed.hidden = false;
  await Promise.all(sheetImages.map((image) => image.decode()));
  document.documentElement.classList.add('sheets');
}

function forgetSheets() {
  for (const image of sheetImages) URL.revokeObjectURL(image.src);
  sheetImages = [];
  byId('printed').replaceChildren();
  byId('printed').hidden = true;
  document.documentElement.classList.remove('sheets');
}

function setUpPrinting() {
  byId('print-button').addEventListener('click', openPrinting);
  window.addEventListener('afterprint', forgetSheets);
}

function openPrinting() {
  const dialog = byId('print-dialog');
  const boxes = day.sheets.map((sheet) => {
    const box = element('input', { type: 'checkbox' });
    box.checked = bench.number === null || byId('flat-view').hidden || sheet.flat === null || sheet.flat === bench.number;
    return box;
  });
  const status = element('p.small', { role: 'status' });
  const all = (checked) => () => { for (const box of boxes) box.checked = checked; };
  const groups = [...new Set(day.sheets.map((sheet) => sheet.flat))].map((flat) => element('fieldset', {},
    element('legend', {}, flat === null ? 'The day' : `Flat ${flat}`),
    day.sheets.map((sheet, place) => (sheet.flat === flat ? element('label', {}, boxes[place], element('span', {}, words(sheet.title))) : null))));
  const print = async () => {
    const chosen = day.sheets.filter((_, place) => boxes[place].checked);
    if (!chosen.length) { status.textContent = 'Choose at least one sheet.'; return; }
    status.textContent = `Preparing ${count(chosen.length, 'sheet')} ...`;
    try {
      await prepareSheets(chosen);
    } catch (error) {
      status.textContent = error.message;
      return;
    }
    dialog.close();
    window.print();
  };
  dialog.replaceChildren(element('h2', { id: 'print-heading' }, 'Print the sheets'),
    element('p', {}, 'Each sheet on a page of its own, scaled to fit the paper. For true size print the PDF files that flatwright print makes, or the SVG files beside this page.'),
    element('div.row', {}, element('button', { type: 'button', onclick: all(true) }, 'All'), element('button', { type: 'button', onclick: all(false) }, 'None'),
      element('button.main', { type: 'button', id: 'print-now', onclick: print }, 'Print'),
      element('button', { type: 'button', onclick: () => dialog.close() }, 'Close')),
    status, ...groups);
  dialog.showModal();
}
