// SPDX-License-Identifier: MIT
// Opens the pages of studies and of several runs in a browser, and holds them against what the
// program prints of the same cases without any page.
// node check_studies.mjs COILBED WORK_FOLDER; ends with 77 where there is no Chromium.
import { spawn, spawnSync } from 'node:child_process';
import { readFileSync, writeFileSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { startBrowser } from './browser.mjs';
import { checkAccessibility, checkKeyboard, checkQuiet, checkStructure, chromium, claim, fetchAxe, finish, plain, prepare, quick, say, speakOf } from './checks.mjs';

const [program, folder] = process.argv.slice(2).map((a) => resolve(a));
prepare(folder);

const coilbed = (...args) => spawnSync(program, args, { cwd: folder, encoding: 'utf8' });
const started = (...args) => new Promise((done) => {
  const child = spawn(program, args, { cwd: folder, stdio: ['ignore', 'pipe', 'ignore'] });
  let text = '';
  child.stdout.on('data', (part) => { text += part; });
  child.on('exit', () => done(text));
});
const hostile = '<script>window.hacked = 1</script></title>"\'&amp; {{data}} <!-- \u{1F525} ' + 'x'.repeat(10000);
const hostileLevel = '<img src=x onerror="window.hacked=1">&lt;{{data}}';

// ---- studies and runs ------------------------------------------------------------------------

const heading = 'set:\n  run.years: 1\n  run.accuracy: draft\n  run.slices: 1\n  weather.hard_winters: []\n';
// A coil of 48 in does not fit into the starter's trench: those cases fail.
const grid = `design: hostile.yaml\nscheme: factorial\n${heading}vary:\n  field.depth: [3 ft, 6 ft]\n  field.coil.diameter: [36 in, 48 in]\n  name: [${JSON.stringify(hostileLevel)}, plain]\n`;
const samples = `design: farm.yaml\nscheme: sobol\nsamples: 3\nseed: 5\n${heading}vary:\n  field.depth: uniform(3, 8) ft\n  fluid.type: [ethanol, propylene_glycol]\n`;

async function makeAll() {
  const made = coilbed('new', 'farm.yaml');
  claim('coilbed new works', made.status === 0, made.stderr);
  const design = readFileSync(join(folder, 'farm.yaml'), 'utf8');
  writeFileSync(join(folder, 'hostile.yaml'), design.replace(/^name:.*$/m, () => 'name: ' + JSON.stringify(hostile)));
  writeFileSync(join(folder, 'grid.yaml'), grid);
  writeFileSync(join(folder, 'samples.yaml'), samples);
  const told = {};
  told.grid = await started('vary', 'grid.yaml', '-q', '-o', 'grid.h5');
  told.samples = await started('vary', 'samples.yaml', '-q', '-o', 'samples.h5');
  await Promise.all([
    started('run', 'farm.yaml', '-q', ...quick, '-o', 'a.h5'),
    started('run', 'hostile.yaml', '-q', ...quick, '--set', 'field.depth=3 ft', '--set', 'fluid.type=ethanol', '-o', 'b.h5'),
  ]);
  return told;
}

// ---- the pages' numbers ----------------------------------------------------------------------

const rowsOf = (page, place) => page.value(`[...document.querySelectorAll('${place} tbody tr')].map((r) => [...r.cells].map((c) => c.innerText.trim()))`);
const setUnits = (page, units) => page.value(`document.querySelector('input[name=units][value=${units}]').click()`);
const minus = (text) => text.replace(/−/g, '-').replace(/^\+/, '');

/** Lines of the grid as coilbed vary prints it: the values, four numbers and the verdict, or a failure. */
function printedGrid(text) {
  return text.split('\n').filter((l) => /^\d+ ft /.test(l)).map((l) => {
    const failed = l.match(/failed: (.*)$/);
    const numbers = [...l.matchAll(/-?\d+\.\d\d/g)].map((m) => m[0]);
    return { depth: l.match(/^\d+ ft/)[0], diameter: l.match(/\d+ in/)[0], failed: failed && failed[1], numbers: failed ? [] : numbers.slice(-4), verdict: l.trim().split(/\s+/).pop() };
  });
}

async function checkGrid(page, told) {
  await setUnits(page, 'us');
  const want = printedGrid(told);
  claim('the program printed eight cases', want.length === 8, want.length);
  const got = await rowsOf(page, '#cases-table');
  claim('the page lists all of them', got.length === 8, got.length);
  want.forEach((w, i) => {
    const row = got[i];
    claim(`case ${i} has its values`, row[1] === w.depth && row[2] === w.diameter, row.slice(0, 4).join(' | '));
    if (w.failed) {
      claim(`case ${i} has no result`, row[4].includes('No result') && row[5] === '–', row.join(' | ').slice(0, 200));
    } else {
      claim(`case ${i} has its numbers`, w.numbers.every((n, k) => minus(row[5 + k]) === n), row.slice(5, 9).join(' '));
      claim(`case ${i} has its verdict`, row[4].toLowerCase().includes(w.verdict), row[4]);
    }
  });
  const answer = plain(await page.value(`document.getElementById('answer').innerText`));
  const holding = want.filter((w) => !w.failed && w.verdict !== 'broken').length;
  claim('the answer counts the cases', answer.includes(`Of 8 cases, ${holding} hold`) && answer.includes('4 cases have no result'), answer.slice(0, 300));
  claim('a failed case says why', answer.includes('does not hold a coil'), '');
  const cell = await page.value(`document.querySelector('.map .cell').innerText`);
  claim('a cell of the grid has a number and a word', minus(cell).startsWith(Number(want[0].numbers[0]).toFixed(1)) && cell.includes('Broken'), cell);
  claim('the hostile value is text', (await page.value(`document.getElementById('map-others').innerText`)).includes('<img src=x onerror='), '');
  await page.value(`(() => { const s = document.querySelector('#map-down'); s.value = '1'; s.dispatchEvent(new Event('change')); })()`);
  claim('choosing the same value for both directions turns the grid', (await page.value(`document.querySelector('#map-across').value + document.querySelector('.map tbody th').innerText`)) === '036 in');
  claim('cells without a result say so', (await page.value(`document.querySelector('#map-table').innerText`)).includes('No result'));
}

async function checkSorting(page) {
  await page.value(`document.querySelector('#cases-table [data-by=worst_margin]').focus()`);
  const place = await page.value(`[...document.querySelectorAll('#cases-table th button')].findIndex((b) => b.dataset.by === 'worst_margin')`);
  const column = async () => (await rowsOf(page, '#cases-table')).map((r) => Number(minus(r[place]))).filter((v) => !isNaN(v));
  await page.key('Enter', 13);
  const up = await column();
  claim('Enter on a heading sorts by it', up.every((v, i) => i === 0 || v >= up[i - 1]), up.join(' '));
  claim('and keeps the focus there', await page.value(`document.activeElement.dataset.by === 'worst_margin' && document.activeElement.closest('th').ariaSort === 'ascending'`));
  await page.key('Enter', 13);
  const down = await column();
  claim('once more the other way round', down.every((v, i) => i === 0 || v <= down[i - 1]) && up.length === down.length, down.join(' '));
}

async function checkSamples(page, told) {
  await setUnits(page, 'us');
  const quantiles = await rowsOf(page, '#spread > .scroll');
  for (const [title, name] of [['Coldest fluid', 'coldest fluid'], ['Hottest entering water', 'hottest water']]) {
    const want = told.split('\n').find((l) => l.startsWith(name + ' [')).match(/-?\d+\.\d\d/g).map(Number);
    const row = quantiles.find((r) => r[0] === title).slice(1).map((t) => parseFloat(minus(t)));
    claim(`quantiles of ${name}`, want.every((w, i) => Math.abs(w - row[i]) <= 0.0501), row.join(' '));
  }
  const chances = await rowsOf(page, '#chance');
  const limits = told.split('\n').map((l) => l.match(/^(\w+) +(\d+\.\d) % +(\d+\.\d) to (\d+\.\d) %/)).filter(Boolean);
  claim('every limit has its chance', chances.length === limits.length && limits.length > 3, chances.length);
  limits.forEach((l, i) => claim(`chance of ${l[1]}`, chances[i][1] === l[2] + ' %' && chances[i][2] === `${l[3]} to ${l[4]} %`, chances[i].join(' | ')));
  const rank = told.match(/^field\.depth +([+-]\d\.\d\d) +([+-]\d\.\d\d) +([+-]\d\.\d\d)/m);
  await page.value(`document.querySelector('#matter details').open = true`);
  const depth = (await rowsOf(page, '#matter-table')).find((r) => r[0] === 'field.depth');
  claim('sensitivities are those of the study', [1, 2, 4].every((c, i) => Number(minus(depth[c])) === Number(rank[1 + i])), depth.join(' '));
  const bars = await page.value(`document.querySelectorAll('#spread-chart rect[fill]').length`);
  claim('the spread is drawn', bars > 3, bars);
  await page.value(`document.querySelector('#spread details').open = true`);
  const counted = (await rowsOf(page, '#spread-table')).reduce((a, r) => a + Number(r[5]), 0);
  claim('its bars hold every independent sample', counted === 6, counted);
  await page.value(`(() => { const s = document.getElementById('spread-what'); s.value = '3'; s.dispatchEvent(new Event('change')); })()`);
  claim('another number can be shown', (await page.value(`document.getElementById('spread-said').textContent`)).includes('hottest entering water'));
}

async function checkSeveral(page) {
  await setUnits(page, 'si');
  const told = JSON.parse(coilbed('compare', 'a.h5', 'b.h5', '--json').stdout);
  const rows = await rowsOf(page, '#numbers');
  const cell = (title, c) => rows.find((r) => r[0].startsWith(title))[1 + c];
  told.cases.forEach((c, i) => {
    const value = (name) => c.headline[name].value;
    claim('coldest fluid', cell('Coldest fluid', i).split('\n')[0] === value('coldest_fluid').toFixed(1), cell('Coldest fluid', i));
    claim('hottest water', cell('Hottest entering water', i).split('\n')[0] === value('entering_maximum').toFixed(1), cell('Hottest entering water', i));
    claim('excavation', cell('Excavation', i).split('\n')[0] === value('excavation').toFixed(0), cell('Excavation', i));
    claim('the verdict', cell('Verdict', i).toLowerCase().includes(c.verdict), cell('Verdict', i));
  });
  claim('a difference is said in words', /[+-]\d+\.\d against A/.test(cell('Coldest fluid', 1)), cell('Coldest fluid', 1));
  claim('what is alike is not marked', !cell('Trench', 1).includes('\n'), cell('Trench', 1));
  const text = plain(await page.value('document.body.innerText'));
  for (const c of told.cases) {
    claim('the verdict of each run stands there as a sentence', text.includes(plain(c.findings[0].sentence)), c.findings[0].sentence);
  }
  const differing = await rowsOf(page, '#differing');
  claim('what differs in the designs is named', differing.some((r) => r[0] === 'field.depth' && r[2].startsWith('0.91')), JSON.stringify(differing).slice(0, 300));
  const drawn = await page.value(`runs.map((r) => Math.min(...Array.from(r.days.coldest).filter((v) => !isNaN(v))))`);
  told.cases.forEach((c, i) => claim('the line reaches the coldest fluid', Math.abs(drawn[i] - c.headline.coldest_fluid.value) <= 0.0011, drawn[i]));
  const span = () => page.value('view.to - view.from');
  const whole = await span();
  await page.value(`document.querySelector('[data-move=in]').click()`);
  claim('zoom in', (await span()) < 0.6 * whole, await span());
  await page.value(`(() => { const s = document.getElementById('water-go'); s.selectedIndex = 1; s.dispatchEvent(new Event('change')); })()`);
  claim('go to the coldest hour', (await page.value(`document.getElementById('water-shown').textContent`)).includes(drawn[0].toFixed(1).replace('-', '−') + ' °C'), await page.value(`document.getElementById('water-shown').textContent`));
  await page.value(`document.querySelector('[data-move=whole]').click()`);
}

async function checkPrint(page, name, least, most) {
  const pdf = await page.print();
  writeFileSync(join(folder, name + '.pdf'), pdf);
  const pages = pdf.toString('latin1').match(/\/Type\s*\/Page\b/g)?.length || 0;
  claim('it prints on a sensible number of pages', pages >= least && pages <= most, pages);
}

// ---- files that make no page -----------------------------------------------------------------

function refused(message, ...args) {
  const got = coilbed('report', ...args);
  claim(`refused: ${args.join(' ').slice(0, 60)}`, got.status === 1 || got.status === 2, got.status);
  claim(`... because: ${message}`, got.stderr.includes(message), got.stderr);
  claim('... and writes nothing', !readable(join(folder, 'never.html')));
}

function readable(path) {
  try { return readFileSync(path).length > 0; } catch { return false; }
}

function checkRefusals() {
  const bytes = readFileSync(join(folder, 'grid.h5'));
  writeFileSync(join(folder, 'half.h5'), bytes.subarray(0, bytes.length / 2));
  writeFileSync(join(folder, 'text.h5'), 'coilbed: 1\n');
  const newer = Buffer.from(bytes);
  const at = newer.indexOf('coilbed: 1\n');
  newer[at + 9] = '7'.charCodeAt(0);
  writeFileSync(join(folder, 'newer.h5'), newer);
  const gone = Buffer.from(bytes);
  for (let i = gone.indexOf('worst_margin'); i >= 0; i = gone.indexOf('worst_margin', i + 1)) { gone.write('w0rst_margin', i); }
  writeFileSync(join(folder, 'gone.h5'), gone);
  refused('half.h5', 'half.h5', '-o', 'never.html');
  refused('text.h5', 'text.h5', '-o', 'never.html');
  refused('format 7 is not known', 'newer.h5', '-o', 'never.html');
  refused('gone.h5', 'gone.h5', '-o', 'never.html');
  refused('is a study', 'a.h5', 'grid.h5', '-o', 'never.html');
  refused('text.h5', 'a.h5', 'text.h5', '-o', 'never.html');
  refused('-o', 'a.h5', 'b.h5');
  refused('coilbed compare --csv', 'a.h5', 'b.h5', '--csv', 'tables');
  refused('is what the page is made from', 'grid.h5', '-o', 'grid.h5');
  writeFileSync(join(folder, 'stopped.h5.cases'), '');
  refused('coilbed vary --resume', 'stopped.h5', '-o', 'never.html');
  claim('the study is as it was', readFileSync(join(folder, 'grid.h5')).equals(bytes));
}

function checkTable() {
  const written = coilbed('report', 'samples.h5', '--csv', 'tables');
  claim('the cases are written as a table', written.status === 0 && written.stdout.includes('cases.csv'), written.stderr);
  const rows = readFileSync(join(folder, 'tables', 'cases.csv'), 'utf8').split('\r\n').slice(0, -1).map((r) => r.split(','));
  claim('with a row for each', rows.length === 13 && rows.every((r) => r.length === rows[0].length), rows.map((r) => r.length).join(' '));
  claim('and its values', rows[0][1] === '"field.depth m"' && Number(rows[1][1]) > 0.9 && Number(rows[1][1]) < 2.5, rows[1].join());
}

// ---- all of it -------------------------------------------------------------------------------

const pages = {
  grid: { files: ['grid.h5'], check: checkGrid, sheets: [3, 9] },
  samples: { files: ['samples.h5'], check: checkSamples, sheets: [4, 10] },
  several: { files: ['a.h5', 'b.h5'], check: checkSeveral, sheets: [5, 14] },
};
const views = [{ width: 1280, dark: false }, { width: 1280, dark: true }, { width: 390, dark: false }];
speakOf('studies');
const told = await makeAll();
say('studies and runs made');
checkRefusals();
checkTable();
const axe = fetchAxe(folder);
const browser = await startBrowser(chromium);
for (const [name, { files, check, sheets }] of Object.entries(pages)) {
  speakOf(name);
  const written = coilbed('report', ...files, '-o', name + '.html');
  claim('the page is written', written.status === 0, written.stderr);
  if (written.status !== 0) { continue; }
  for (const view of views) {
    const visit = `${name} at ${view.width}${view.dark ? ' dark' : ''}`;
    speakOf(visit);
    const page = await browser.open('file://' + join(folder, name + '.html'), view);
    await checkStructure(page, view.width);
    await checkAccessibility(page, axe);
    writeFileSync(join(folder, `${name}-${view.width}${view.dark ? '-dark' : ''}.png`), Buffer.from(await page.picture(), 'base64'));
    if (view.width === 1280 && !view.dark) {
      await checkKeyboard(page);
      await check(page, told[name]);
      if (name !== 'several') { await checkSorting(page); }
      await checkPrint(page, name, ...sheets);
    }
    claim('no script of its own ran', (await page.value('typeof window.hacked')) === 'undefined');
    claim('no element came from a name', (await page.value(`document.querySelectorAll('script').length === 3 && document.querySelectorAll('img').length === 0`)));
    if (name === 'grid') { claim('the name is shown as it is', (await page.value(`document.querySelector('h1').textContent`)) === hostile); }
    checkQuiet(page);
    await page.close();
    say(visit);
  }
}
await browser.stop();
finish(folder);
