// Light or dark? As the system says, until the button says otherwise.
const darkSystem = window.matchMedia('(prefers-color-scheme: dark)');
let inksKept = null;

function isDark() {
  const said = document.documentElement.dataset.theme;
  return said ? said === 'dark' : darkSystem.matches;
}

// The colours that canvases draw with stand in the style sheet.
function inks() {
  if (!inksKept) {
    const style = getComputedStyle(document.documentElement);
    const names = ['paper', 'ink', 'soft', 'line', 'accent', 'stop', 'warn', 'note', 'zinc', 'copper', 'magnesium', 'plate',
      'art', 'dots', 'blue', 'orange', 'green', 'purple', 'grip', 'label', 'on-accent'];
    inksKept = Object.fromEntries(names.map((name) => [name, style.getPropertyValue(`--${name}`).trim()]));
  }
  return inksKept;
}

function setUpTheme(changed) {
  const button = byId('theme-button');
  const told = () => {
    inksKept = null;
    button.setAttribute('aria-pressed', String(isDark()));
    changed();
  };
  button.addEventListener('click', () => {
    document.documentElement.dataset.theme = isDark() ? 'light' : 'dark';
    told();
  });
  darkSystem.addEventListener('change', told);
  told();
}
