// The page begins: words first, drawings when they are asked for.
fillDay();
setUpFlat();
setUpSearch();
setUpPrinting();
setUpKeys();
setUpTheme(() => {
  if (bench.number === null) return;
  fillSide();
  ask();
});
window.addEventListener('hashchange', follow);
follow();
