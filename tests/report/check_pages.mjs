// SPDX-License-Identifier: MIT
// Opens report pages in a browser as a reader would, and holds them against the run files.
// node check_pages.mjs COILBED WORK_FOLDER; ends with 77 where there is no Chromium.
import { spawn, spawnSync } from 'node:child_process';
import { readFileSync, writeFileSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { startBrowser } from './browser.mjs';
import { checkAccessibility, checkKeyboard, checkQuiet, checkStructure, chromium, claim, fetchAxe, finish, plain, prepare, quick, say, speakOf } from './checks.mjs';

const [program, folder] = process.argv.slice(2).map((a) => resolve(a));
prepare(folder);

// ---- runs ------------------------------------------------------------------------------------

const coilbed = (...args) => spawnSync(program, args, { cwd: folder, encoding: 'utf8' });
const hostile = '<script>window.hacked = 1</script></script></title>"\'&amp; {{data}} <!-- \u{1F525}\u{1F9CA} ' + 'x'.repeat(10000);

const started = (...args) => new Promise((done) => spawn(program, args, { cwd: folder, stdio: 'ignore' }).on('exit', done));

async function makeRuns() {
  const made = coilbed('new', 'farm.yaml');
  claim('coilbed new works', made.status === 0, made.stderr);
  const design = readFileSync(join(folder, 'farm.yaml'), 'utf8').replace(/^name:.*$/m, () => 'name: ' + JSON.stringify(hostile));
  writeFileSync(join(folder, 'hostile.yaml'), design);
  const pipes = ['--set', 'field.layout=straight', '--set', 'field.straight=[{across: -1 ft, depth: 6 ft}, {across: 1 ft, depth: 6 ft}]'];
  const upright = ['--set', 'field.layout=upright_coil', '--set', 'field.width=1 ft', '--set', 'field.trenches=5', '--set', 'field.circuits=[{across: -4 in}, {across: 4 in}]'];
  await Promise.all([
    started('run', 'farm.yaml', '-q', ...quick, '-o', 'whole.h5'),
    started('run', 'farm.yaml', '-q', ...quick, ...upright, '--set', 'limits.freeze_margin=16 delta_degF', '-o', 'broken.h5'),
    started('run', 'hostile.yaml', '-q', ...quick, ...pipes, '-o', 'hostile.h5'),
    makeIncomplete(),
  ]);
}

/** A run stopped by the reader's Ctrl-C after its first months. */
async function makeIncomplete() {
  const child = spawn(program, ['run', 'farm.yaml', ...quick, '--set', 'run.years=20', '-o', 'part.h5'], { cwd: folder, stdio: 'ignore' });
  const ended = new Promise((done) => child.on('exit', done));
  for (let i = 0; i < 600; i++) {
    await new Promise((done) => setTimeout(done, 100));
    if (spawnSync(program, ['findings', 'part.h5'], { cwd: folder }).status !== 1 && i > 10) { break; }
  }
  child.kill('SIGINT');
  await ended;
}

const findingsOf = (name) => JSON.parse(coilbed('findings', name + '.h5', '--json').stdout);

// ---- what every page owes --------------------------------------------------------------------

async function checkNumbers(page, name) {
  const findings = findingsOf(name);
  await page.value(`document.querySelector('input[name=units][value=si]').click()`);
  const text = plain(await page.value('document.body.innerText'));
  for (const finding of findings.findings) {
    claim(`the finding ${finding.code} stands on the page`, text.includes(plain(finding.sentence)), plain(finding.sentence));
  }
  const coldest = findings.findings.find((f) => f.code === 'freeze_margin');
  const card = plain(await page.value(`document.querySelector('.cards .card').innerText`));
  claim('the coldest fluid is that of the run', card.includes(coldest.value.toFixed(1) + ' °C'), card);
  claim('its margin is that of the run', card.includes(Math.abs(coldest.margin).toFixed(1) + ' K'), card);
  const word = { clear: 'Holds', close: 'Holds, but close', broken: 'Does not hold' }[findings.verdict];
  claim('the verdict is that of the run', (await page.value(`[...document.querySelectorAll('.verdict')].pop().innerText`)).includes(word));
  claim('an incomplete run is called so', (await page.value(`document.querySelector('.verdict').innerText`)).includes('Incomplete') === !findings.complete);
  const data = await page.value(`JSON.stringify({hours: run.hours, complete: run.complete, low: Math.min(...points.coldest.filter((v) => !isNaN(v)))})`).then(JSON.parse);
  claim('the page has the hours of the run', data.hours === findings.hours, data.hours);
  claim('the lowest point drawn is the coldest fluid', Math.abs(data.low - coldest.value) <= 0.0011, data.low);
  await page.value(`document.querySelector('input[name=units][value=us]').click()`);
  const us = (coldest.value * 1.8 + 32).toFixed(1) + ' °F';
  claim('the switch to US units changes the numbers', plain(await page.value(`document.querySelector('.cards .card').innerText`)).includes(us), us);
}

async function checkCharts(page) {
  const range = () => page.value('water.chart.xAxisRange()');
  const [a, b] = await range();
  await page.value(`document.querySelector('[data-move=in]').click()`);
  const [c, d] = await range();
  claim('the button zooms in', d - c < 0.6 * (b - a), `${c} ${d}`);
  await page.value(`document.querySelector('[data-move=later]').click()`);
  claim('the button pans', (await range())[0] > c);
  await page.value(`document.querySelector('[data-move=whole]').click()`);
  claim('the whole run comes back', (await range())[1] - (await range())[0] === b - a);
  const box = await page.value(`(() => { const c = document.getElementById('water-chart'); c.scrollIntoView({behavior: 'instant'}); const r = c.getBoundingClientRect(); return [r.left, r.top, r.width, r.height]; })()`);
  const at = (x) => ({ x: box[0] + box[2] * x, y: box[1] + box[3] / 2 });
  for (const [type, x, buttons] of [['mousePressed', 0.4, 1], ['mouseMoved', 0.5, 1], ['mouseReleased', 0.5, 0]]) {
    await page.send('Input.dispatchMouseEvent', { type, ...at(x), button: 'left', buttons, clickCount: 1 });
  }
  const [e, f] = await range();
  claim('dragging zooms', f - e < 0.2 * (b - a), `${e} ${f}`);
  await page.value(`new Promise((done) => setTimeout(done, 300))`);
  const hourly = await page.value(`(() => { const [x, y] = water.chart.xAxisRange(); let n = 0; for (let i = 0; i < water.chart.numRows(); i++) { const h = water.chart.getValue(i, 0); n += h >= x && h < y; } return n / (y - x); })()`);
  claim('zoomed in, every hour is drawn', hourly > 0.95, hourly);
  await page.value(`document.querySelector('[data-move=whole]').click()`);
}

async function checkSlider(page) {
  const print = `(() => { const c = document.getElementById('cut'); const d = c.getContext('2d').getImageData(0, 0, c.width, c.height).data; let h = 0; for (let i = 0; i < d.length; i += 4) { h = (h * 31 + d[i] + d[i + 1] * 7 + d[i + 2] * 13) | 0; } return h + document.getElementById('cut-shown').textContent; })()`;
  await page.value(`const day = document.getElementById('cut-day'); day.value = 0; day.dispatchEvent(new Event('input')); day.focus()`);
  const before = await page.value(print);
  for (let i = 0; i < 4; i++) { await page.key('ArrowRight', 39); }
  claim('the arrow keys move the day and the picture', (await page.value(print)) !== before);
  claim('by four steps', (await page.value(`Number(document.getElementById('cut-day').value) === Math.min(4, Number(document.getElementById('cut-day').max))`)));
  await page.value(`document.getElementById('cut-play').click()`);
  const moving = await page.value(print);
  await page.value(`new Promise((done) => setTimeout(done, 700))`);
  claim('play moves the picture', (await page.value(print)) !== moving);
  await page.value(`document.getElementById('cut-play').click()`);
  const still = await page.value(print);
  await page.value(`new Promise((done) => setTimeout(done, 500))`);
  claim('pause holds it', (await page.value(print)) === still);
}

async function checkPrint(page, name) {
  const pdf = await page.print();
  writeFileSync(join(folder, name + '.pdf'), pdf);
  const pages = pdf.toString('latin1').match(/\/Type\s*\/Page\b/g)?.length || 0;
  claim('it prints on a sensible number of pages', pages >= 8 && pages <= 24, pages);
  const text = spawnSync('pdftotext', ['-layout', join(folder, name + '.pdf'), '-'], { encoding: 'utf8' });
  if (text.status === 0) { // only where it is installed
    const sheets = text.stdout.split('\f').slice(0, -1);
    claim('no sheet is nearly empty', sheets.every((s) => s.replace(/\s/g, '').length > 60), sheets.findIndex((s) => s.replace(/\s/g, '').length <= 60));
    const last = sheets.map((s) => s.trimEnd().split('\n').pop().trim());
    claim('no heading ends a sheet', !last.some((l) => ['What would help', 'Numerical quality', 'Versions and hashes', 'Weather', 'A cut across the trenches'].includes(l)), last.join(' | '));
  }
}

async function checkColours(page) {
  const steps = await page.value(`(() => {
    const lab = (share) => { const [r, g, b] = colourAt(share).map((v) => v / 255).map((c) => c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4);
      const l = Math.cbrt(0.4122214708 * r + 0.5363325363 * g + 0.0514459929 * b), m = Math.cbrt(0.2119034982 * r + 0.6806995451 * g + 0.1073969566 * b), s = Math.cbrt(0.0883024619 * r + 0.2817188376 * g + 0.6299787005 * b);
      return [0.2104542553 * l + 0.7936177850 * m - 0.0040720468 * s, 1.9779984951 * l - 2.4285922050 * m + 0.4505937099 * s, 0.0259040371 * l + 0.7827717662 * m - 0.8086757660 * s]; };
    return Array.from({ length: 20 }, (v, i) => { const a = lab(i / 20), b = lab((i + 1) / 20); return [b[0] - a[0], Math.hypot(b[0] - a[0], b[1] - a[1], b[2] - a[2])]; }); })()`);
  const light = steps.map((s) => s[0]);
  claim('the map of temperatures gets evenly lighter', Math.max(...light) < 1.25 * Math.min(...light), light.map((v) => v.toFixed(3)).join(' '));
  const size = steps.map((s) => s[1]);
  claim('its steps look alike', Math.max(...size) < 1.4 * Math.min(...size), size.map((v) => v.toFixed(3)).join(' '));
}

// ---- all of it -------------------------------------------------------------------------------

const views = [{ width: 1280, dark: false }, { width: 1280, dark: true }, { width: 390, dark: false }];
speakOf('runs');
await makeRuns();
const axe = fetchAxe(folder);
const browser = await startBrowser(chromium);
say('runs made');
for (const name of ['whole', 'broken', 'part', 'hostile']) {
  speakOf(name);
  const written = coilbed('report', name + '.h5', '-o', name + '.html');
  claim('the page is written', written.status === 0, written.stderr);
  if (written.status !== 0) { continue; }
  const size = readFileSync(join(folder, name + '.html')).length;
  claim('it is small', size < 3e6, size);
  for (const view of name === 'whole' ? views : views.slice(2)) {
    const visit = `${name} at ${view.width}${view.dark ? ' dark' : ''}`;
    speakOf(visit);
    const page = await browser.open('file://' + join(folder, name + '.html'), view);
    if (view.width === 1280 && !view.dark) {
      claim('charts are drawn by the chart library', await page.value('water.chart !== null'));
      await checkCharts(page);
      await checkSlider(page);
      await checkKeyboard(page);
      await checkColours(page);
      await checkPrint(page, name);
    }
    if (name !== 'hostile' && view === views[name === 'whole' ? 0 : 2]) { await checkNumbers(page, name); }
    await checkStructure(page, view.width);
    await checkAccessibility(page, axe);
    if (name === 'hostile') {
      claim('the name is shown as it is', (await page.value(`document.querySelector('h1').textContent`)) === hostile);
      claim('no script of its own ran', (await page.value('typeof window.hacked')) === 'undefined');
      claim('no element came from it', (await page.value(`document.querySelectorAll('script').length`)) === 3);
    }
    if (name === 'whole') { writeFileSync(join(folder, `${view.width}${view.dark ? '-dark' : ''}.png`), Buffer.from(await page.picture(), 'base64')); }
    checkQuiet(page);
    await page.close();
    say(visit);
  }
}
await browser.stop();
finish(folder);
