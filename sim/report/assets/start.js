// Switches and the first drawing.

function redraw() {
  for (const draw of redraws) { draw(); }
}

function startSwitch(name, apply) {
  for (const input of document.querySelectorAll(`input[name="${name}"]`)) {
    input.checked = input.value === root.dataset[name];
    input.addEventListener('change', () => {
      root.dataset[name] = input.value;
      apply();
    });
  }
}

for (const start of starts) { start(); }
startSwitch('units', redraw);
startSwitch('theme', redraw);
window.matchMedia('(prefers-color-scheme: dark)').addEventListener('change', redraw);
// Paper is narrower than a screen, and shows the tables that a reader may have closed.
window.addEventListener('beforeprint', () => {
  root.dataset.printing = 'yes';
  document.querySelectorAll('details.printed:not([open])').forEach((d) => { d.open = true; d.dataset.reopened = 'yes'; });
  redraw();
});
window.addEventListener('afterprint', () => {
  delete root.dataset.printing;
  document.querySelectorAll('details[data-reopened]').forEach((d) => { d.open = false; delete d.dataset.reopened; });
  redraw();
});
let lastWidth = window.innerWidth;
window.addEventListener('resize', () => {
  if (window.innerWidth !== lastWidth) { // a phone's bar that slides away changes only the height
    lastWidth = window.innerWidth;
    redraw();
  }
});
redraw();
