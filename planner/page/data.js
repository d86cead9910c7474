// What is on the page? JSON that the planner put here, parsed when it is first asked for.
const parsed = new Map();

function data(name) {
  if (!parsed.has(name)) parsed.set(name, JSON.parse(document.getElementById(`data-${name}`).textContent));
  return parsed.get(name);
}

const day = data('day');
const UNITS = 4000; // whole units of the page's paths to the inch

function plateAt(flat, number) {
  return day.plates.find((plate) => plate.flat === flat && plate.number === number);
}

function flatOf(number) {
  return day.flats.find((flat) => flat.number === number);
}

// One plate, two plates.
function count(number, noun) {
  return `${number} ${noun}${number === 1 ? '' : 's'}`;
}
