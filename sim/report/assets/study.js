// Studies: the grid of combinations, the spread of samples, what matters, and all cases.
const factors = data.factors;
const outputs = data.outputs;
const system = () => unitsNow() === 'us' ? 0 : 1;
const plainUnit = (unit) => unit.replace(/delta_degF|degF/g, '°F').replace(/degC/g, '°C');
const scaled = (of, value) => value === null ? NaN : value * of.scale[system()][0] + of.scale[system()][1];
const unitText = (of) => plainUnit(of.unit[system()]);
const isTemperature = (of) => /temperature/.test(of.kind || '');
const digitsOf = (of) => isTemperature(of) || /COP/.test(of.title) ? (/COP/.test(of.title) ? 2 : 1) : 0;

/** A value of an output with its unit, or without. */
function told(of, value, bare, more = 0) {
  if (value === null || !isFinite(value)) { return '–'; }
  const shown = scaled(of, value);
  const signed = /margin|difference/i.test(of.kind + of.title) && shown > 0 ? '+' : '';
  const text = signed + number(shown, digitsOf(of) + (isTemperature(of) ? more : 0));
  return bare || !unitText(of) ? text : text + ' ' + unitText(of);
}

/** What a case's value of a factor is called. */
function levelText(f, at, bare) {
  const factor = factors[f];
  if (factor.levels) { return plainUnit(factor.levels[at][system()]); }
  if (factor.words) { return factor.values[at]; }
  const shown = scaled(factor, factor.values[at]);
  return String(Number(shown.toPrecision(4))).replace('-', '−') + (unitText(factor) && !bare ? ' ' + unitText(factor) : '');
}

const levelCount = (f) => factors[f].values.length;
const strides = factors.map((f, i) => factors.slice(i + 1).reduce((a, b) => a * b.values.length, 1));
const levelOf = (f, index) => data.grid ? Math.floor(index / strides[f]) % levelCount(f) : index;
const valueOf = (f, index) => factors[f].values[levelOf(f, index)];

// Said without the codes of findings.
const meaningOf = (of) => of.name === 'worst_margin'
  ? 'the least distance to the limits of the coldest fluid, of entering water, lowest and highest, and of the pipe' : of.meaning;

const verdicts = [['clear', '✓', 'Clear'], ['close', '!', 'Close'], ['broken', '✕', 'Broken']];
function badge(index) {
  const v = data.verdict[index];
  if (v === null) { return '<span class="badge"><span aria-hidden="true">–</span> No result</span>'; }
  const [name, sign, word] = verdicts[v];
  return `<span class="badge ${name}"><span aria-hidden="true">${sign}</span> ${word}</span>`;
}

function fillSelect(place, names, chosen) {
  place.innerHTML = names.map((n, i) => `<option value="${i}"${i === chosen ? ' selected' : ''}>${escape(n)}</option>`).join('');
}

/** As many letters as fit into a space of that width, the end of a path being its best part. */
function fitted(text, width) {
  const most = Math.max(4, Math.floor(width / 7));
  return text.length <= most ? text : '…' + text.slice(text.length - most + 1);
}

/** A ring where the case holds, a cross where it does not. */
function mark(x, y, index, colour = 'ink') {
  return data.verdict[index] === 2
    ? `<path d="M${x - 4.5} ${y - 4.5}l9 9m0 -9l-9 9" stroke="var(--${colour})" stroke-width="2" fill="none"/>`
    : `<circle cx="${x}" cy="${y}" r="4.5" fill="var(--panel)" stroke="var(--${colour})" stroke-width="2"/>`;
}

/** Least and greatest of values in shown units, with room, and the limit if it is near. */
function rangeOf(of, values, limit) {
  const shown = values.filter((v) => v !== null && isFinite(v)).map((v) => scaled(of, v));
  let low = Math.min(...shown);
  let high = Math.max(...shown);
  const span = Math.max(high - low, 1e-6 * Math.max(1, Math.abs(high)));
  for (const v of limit || []) {
    const s = scaled(of, v);
    if (s > low - 1.5 * span && s < high + 1.5 * span) { low = Math.min(low, s); high = Math.max(high, s); }
  }
  const room = Math.max(0.06 * (high - low), 1e-4 * Math.max(1, Math.abs(high)));
  return [low - room, high + room];
}

// ---- the grid --------------------------------------------------------------------------------

const map = { down: 0, across: factors.length > 1 ? 1 : -1, fixed: factors.map(() => 0) };
const mapOutput = () => outputs[Number(byId('map-what').value)];

function caseAt(down, across) {
  return factors.reduce((sum, f, i) => sum + strides[i] * (i === map.down ? down : i === map.across ? across : map.fixed[i]), 0);
}

function drawMapTable() {
  const of = mapOutput();
  const columns = map.across < 0 ? 1 : levelCount(map.across);
  const unit = unitText(of);
  const caption = of.title + (unit ? ', ' + unit : '');
  const head = map.across < 0 ? `<th scope="col">${escape(of.title)}</th>`
    : Array.from({ length: columns }, (v, a) => `<th scope="col">${escape(levelText(map.across, a))}</th>`).join('');
  let rows = '';
  for (let d = 0; d < levelCount(map.down); d++) {
    rows += `<tr><th scope="row">${escape(levelText(map.down, d))}</th>`;
    for (let a = 0; a < columns; a++) {
      const index = caseAt(d, a);
      const v = data.verdict[index];
      rows += `<td class="cell ${v === null ? 'none' : verdicts[v][0]}"><span class="figures">${told(of, of.values[index], true)}</span>${badge(index)}</td>`;
    }
    rows += '</tr>';
  }
  const names = `<th scope="col"><code>${escape(factors[map.down].path)}</code>` +
    (map.across < 0 ? '' : ` <span aria-hidden="true">↓</span><span class="axis"><code>${escape(factors[map.across].path)}</code> <span aria-hidden="true">→</span></span>`) + '</th>';
  byId('map-table').innerHTML = `<div class="scroll" tabindex="0" role="region" aria-label="${escape(caption)}"><table class="map"><caption>${escape(caption)}</caption>` +
    `<thead><tr>${names}${head}</tr></thead><tbody>${rows}</tbody></table></div>`;
  const others = factors.map((f, i) => i).filter((i) => i !== map.down && i !== map.across);
  byId('map-said').textContent = of.title + ': ' + meaningOf(of) + '.' + (others.length
    ? ' Here with ' + others.map((i) => factors[i].path + ' at ' + levelText(i, map.fixed[i])).join(', ') + '.' : '');
}

const lineDashes = ['', '7 3', '2 3', '9 3 2 3', '4 2', '12 4'];
const lineColours = ['entering', 'leaving', 'coldest', 'air', 'clear', 'close'];

function drawMapLines() {
  const of = mapOutput();
  const width = widthOf(byId('map-lines'));
  const [x, lines] = map.across < 0 ? [map.down, -1] : [map.across, map.down];
  const count = lines < 0 ? 1 : levelCount(lines);
  const at = (l, p) => lines < 0 ? caseAt(p, 0) : caseAt(l, p);
  const all = [];
  for (let l = 0; l < count; l++) { for (let p = 0; p < levelCount(x); p++) { all.push(of.values[at(l, p)]); } }
  if (!all.some((v) => v !== null)) { byId('map-lines').innerHTML = '<p>No case here has this number.</p>'; return; }
  // Words stand at even distances, numbers where they belong.
  const positions = factors[x].words ? factors[x].values.map((v, i) => i) : factors[x].values.map((v) => scaled(factors[x], v));
  const spread = Math.max(...positions) - Math.min(...positions) || 1;
  const from = [Math.min(...positions) - 0.06 * spread, Math.max(...positions) + 0.06 * spread];
  const series = Array.from({ length: count }, (v, l) => ({
    points: positions.map((p, i) => [p, scaled(of, of.values[at(l, i)])]).sort((a, b) => a[0] - b[0]),
    colour: lineColours[l % 6], dash: lineDashes[l % 6],
    label: lines < 0 ? of.title : levelText(lines, l) }));
  let key = '';
  let kx = 52;
  let row = 0;
  for (const s of series) {
    const needed = 52 + s.label.length * 7;
    if (kx + needed > width && kx > 52) { kx = 52; row++; }
    key += `<line x1="${kx}" x2="${kx + 30}" y1="${12 + 20 * row}" y2="${12 + 20 * row}" stroke="var(--${s.colour})" stroke-width="2.2" stroke-dasharray="${s.dash}"/>` +
      `<text x="${kx + 36}" y="${16 + 20 * row}" font-size="12">${escape(s.label)}</text>`;
    kx += needed;
  }
  const top = 50 + 20 * row;
  const limit = of.limit && of.limit[1] - of.limit[0] < 1e-6 ? of.limit : null;
  const narrow = width < 560;
  const each = (width - 68) / positions.length;
  const pixel = (p) => 52 + (p - from[0]) / (from[1] - from[0]) * (width - 68);
  let taken = -Infinity; // where the last label ends: those that would touch it are left out
  const ticks = positions.map((p, i) => ({ v: p, label: fitted(levelText(x, i), Math.max(each, 56)) })).sort((a, b) => a.v - b.v).map((t) => {
    const half = t.label.length * 3.6;
    if (pixel(t.v) - half < taken) { return { v: t.v, label: '' }; }
    taken = pixel(t.v) + half + 4;
    return t;
  });
  const body = key + panel({ box: { left: 52, top, width: width - 68, height: 250 }, x: from, y: rangeOf(of, all, limit), lines: series,
    title: of.title + (unitText(of) ? ', ' + unitText(of) : '') + (lines < 0 || narrow ? '' : ', for each ' + fitted(factors[lines].path, width / 2.6)),
    xTicks: ticks,
    rules: limit ? [{ y: scaled(of, limit[0]), label: 'limit' }] : [],
    over: (sx, sy) => series.map((s, l) => positions.map((p, i) => {
      const v = of.values[at(l, i)];
      return v === null ? '' : mark(sx(p), sy(scaled(of, v)), at(l, i), s.colour);
    }).join('')).join('') + `<text x="${width - 16}" y="${top + 250 + 36}" text-anchor="end" font-size="12" class="muted">${escape(fitted(factors[x].path, width - 80))}</text>` });
  byId('map-lines').innerHTML = svg(width, top + 250 + 44, of.title + '; the numbers stand in the grid above', body);
  byId('lines-said').textContent = of.title + ' along ' + factors[x].path + (lines < 0 ? '.' : ', a line for each ' + factors[lines].path + '.');
}

function drawMap() {
  const others = factors.map((f, i) => i).filter((i) => i !== map.down && i !== map.across);
  const had = document.activeElement && document.activeElement.dataset.factor;
  byId('map-others').innerHTML = others.map((i) => `<label>${escape(factors[i].path)} <select data-factor="${i}">` +
    Array.from({ length: levelCount(i) }, (v, at) => `<option value="${at}"${at === map.fixed[i] ? ' selected' : ''}>${escape(levelText(i, at))}</option>`).join('') + '</select></label>').join('');
  byId('map-others').style.display = others.length ? '' : 'none';
  byId('map-others').querySelectorAll('select').forEach((s) => {
    s.addEventListener('change', () => { map.fixed[Number(s.dataset.factor)] = Number(s.value); drawMap(); });
    if (s.dataset.factor === had) { s.focus(); }
  });
  drawMapTable();
  drawMapLines();
}

function startMap() {
  fillSelect(byId('map-what'), outputs.map((o) => o.title), 0);
  fillSelect(byId('map-down'), factors.map((f) => f.path), map.down);
  fillSelect(byId('map-across'), factors.map((f) => f.path), map.across);
  if (factors.length < 2) { byId('map-across-label').style.display = 'none'; }
  byId('map-what').addEventListener('change', drawMap);
  for (const [mine, other] of [['down', 'across'], ['across', 'down']]) {
    byId('map-' + mine).addEventListener('change', (event) => {
      const before = map[mine];
      map[mine] = Number(event.target.value);
      if (map[mine] === map[other]) { map[other] = before; byId('map-' + other).value = String(before); }
      drawMap();
    });
  }
  redraws.push(drawMap);
}

// ---- how samples spread ----------------------------------------------------------------------

const independent = (of) => of.values.map((v, i) => [v, i]).slice(0, data.independent).filter(([v]) => v !== null);

/** Bars of equal width in shown units, at round places. */
function barsOf(of) {
  const found = independent(of).map(([v, i]) => [scaled(of, v), i]);
  const low = Math.min(...found.map((f) => f[0]));
  const high = Math.max(...found.map((f) => f[0]));
  if (found.length === 0) { return []; }
  const wanted = Math.max(5, Math.min(24, Math.round(Math.sqrt(found.length) * 1.6)));
  const raw = Math.max((high - low) / wanted, 1e-6 * Math.max(1, Math.abs(high)));
  const power = Math.pow(10, Math.floor(Math.log10(raw)));
  const step = [1, 2, 2.5, 5, 10].map((n) => n * power).find((s) => s >= raw * 0.999);
  const first = Math.floor(low / step + 1e-9);
  const bars = [];
  for (let n = first; n * step <= high + 1e-9 * step; n++) { bars.push({ from: n * step, to: (n + 1) * step, counts: [0, 0, 0] }); }
  for (const [v, i] of found) {
    const at = Math.min(bars.length - 1, Math.max(0, Math.floor(v / step + 1e-9) - first));
    bars[at].counts[data.verdict[i]]++;
  }
  return bars;
}

const barLooks = [['clear', 'Clear'], ['close', 'Close'], ['broken', 'Broken']];
const barPatterns = `<defs>${pattern('bar-close', 6, 6, stripe('--close'), 'rotate(45)')}` +
  `${pattern('bar-broken', 7, 7, cross('--broken', 1.8))}</defs>`;
const barFill = (v) => v === 0 ? 'var(--clear)' : v === 1 ? 'url(#bar-close)' : 'url(#bar-broken)';

function drawSpread() {
  const of = outputs[Number(byId('spread-what').value)];
  const width = widthOf(byId('spread-chart'));
  const bars = barsOf(of);
  if (bars.length === 0) { byId('spread-chart').innerHTML = '<p>No case has this number.</p>'; return; }
  const most = Math.max(...bars.map((b) => b.counts[0] + b.counts[1] + b.counts[2]));
  let x = [bars[0].from, bars[bars.length - 1].to];
  const limits = (of.limit || []).map((v) => scaled(of, v));
  const near = limits.filter((v) => v > x[0] - (x[1] - x[0]) && v < x[1] + (x[1] - x[0]));
  x = [Math.min(x[0], ...near.map((v) => v - 0.02 * (x[1] - x[0]))), Math.max(x[1], ...near.map((v) => v + 0.02 * (x[1] - x[0])))];
  const box = { left: 48, top: 64, width: width - 64, height: 250 };
  const key = barLooks.map(([, word], v) => `<rect x="${48 + 92 * v}" y="4" width="20" height="12" fill="${barFill(v)}" stroke="var(--ink)" stroke-width=".7"/><text x="${74 + 92 * v}" y="15" font-size="12">${word}</text>`).join('');
  const varies = limits.length > 0 && Math.abs(limits[1] - limits[0]) > 1e-6;
  const body = barPatterns + key + panel({ box, x, y: [0, most * 1.05], title: '', yTicks: niceTicks(0, most * 1.05, Math.min(most, 5)).filter((t) => Number.isInteger(t.v)),
    xTicks: niceTicks(x[0], x[1], Math.max(2, width / 90)), lines: [],
    under: (sx, sy) => bars.map((b) => {
      let up = 0;
      return b.counts.map((n, v) => {
        up += n;
        return n ? `<rect x="${sx(b.from) + 1}" width="${Math.max(1, sx(b.to) - sx(b.from) - 2)}" y="${sy(up)}" height="${sy(up - n) - sy(up)}" fill="${barFill(v)}" stroke="var(--ink)" stroke-width=".7"/>` : '';
      }).join('');
    }).join(''),
    over: (sx) => (varies ? near : near.slice(0, 1)).map((v, i) => `<line x1="${sx(v)}" x2="${sx(v)}" y1="${box.top - 8}" y2="${box.top + box.height}" stroke="var(--broken)" stroke-width="1.6" stroke-dasharray="7 4"/>` +
      `<text x="${sx(v)}" y="${box.top - 14 - 15 * i}" text-anchor="${sx(v) > width / 2 ? 'end' : 'start'}" font-size="12">${varies ? (i === 0 ? 'lowest limit ' : 'highest limit ') : 'limit '}${number(v, 1)}</text>`).join('') });
  byId('spread-chart').innerHTML = svg(width, 340, 'Number of cases by ' + of.title.toLowerCase() + '; the numbers stand in the table below', body);
  const total = bars.reduce((a, b) => a + b.counts[0] + b.counts[1] + b.counts[2], 0);
  byId('spread-said').textContent = 'How many of ' + total + ' independent samples have which ' + of.title.toLowerCase() +
    (unitText(of) ? ' (' + unitText(of) + ')' : '') + ': ' + meaningOf(of) + '.' +
    (limits.length && !near.length ? ' The limit lies beyond the chart, at ' + told(of, of.limit[0]) + '.' : '') +
    (varies ? ' The limit itself varies from case to case.' : '');
  const digits = Math.max(0, -Math.floor(Math.log10(bars[0].to - bars[0].from) + 1e-9)) + 1;
  byId('spread-table').innerHTML = table('Cases by ' + of.title.toLowerCase() + (unitText(of) ? ', ' + unitText(of) : ''), ['From', 'To', ...barLooks.map((b) => b[1]), 'All'],
    bars.map((b) => [number(b.from, digits), number(b.to, digits), ...b.counts.map(String), String(b.counts[0] + b.counts[1] + b.counts[2])]));
}

function drawChances() {
  const width = widthOf(byId('chance-chart'));
  if (data.chances.length === 0) { byId('chance-chart').innerHTML = '<p>No case was judged by a limit.</p>'; return; }
  const rows = data.chances.slice().sort((a, b) => b[1] - a[1]);
  const left = width < 560 ? 12 : 250;
  const each = width < 560 ? 46 : 30;
  const height = rows.length * each;
  const body = panel({ box: { left, top: 14, width: width - left - 20, height }, x: [0, 100], y: [0, 1], yTicks: [], lines: [],
    xTicks: niceTicks(0, 100, width < 560 ? 4 : 10).map((t) => ({ ...t, label: t.label + ' %' })),
    over: (sx) => rows.map(([title, share, low, high], i) => {
      const y = 14 + each * (i + (left > 100 ? 0.5 : 0.72));
      return `<text x="${left > 100 ? left - 10 : left + 4}" y="${left > 100 ? y + 4 : y - 13}" text-anchor="${left > 100 ? 'end' : 'start'}" font-size="12.5">${escape(fitted(title, left > 100 ? left : width))}</text>` +
        `<line x1="${sx(100 * low)}" x2="${sx(100 * high)}" y1="${y}" y2="${y}" stroke="var(--entering)" stroke-width="3"/>` +
        [low, high].map((v) => `<line x1="${sx(100 * v)}" x2="${sx(100 * v)}" y1="${y - 6}" y2="${y + 6}" stroke="var(--entering)" stroke-width="2"/>`).join('') +
        `<circle cx="${sx(100 * share)}" cy="${y}" r="5.5" fill="var(--panel)" stroke="var(--ink)" stroke-width="2"/>`;
    }).join('') });
  byId('chance-chart').innerHTML = svg(width, height + 44, 'Chance that each limit is crossed, with its interval; the numbers stand in the table below', body);
}

// ---- what matters ----------------------------------------------------------------------------

function drawMatter() {
  const of = outputs[Number(byId('matter-what').value)];
  const width = widthOf(byId('matter-chart'));
  const sobol = Boolean(of.total_index);
  const rows = factors.map((f, i) => ({ path: f.path, rank: of.rank_correlation ? of.rank_correlation[i] : null,
    first: sobol ? of.first_order_index[i] : null, firstError: sobol ? of.first_order_error[i] : null,
    total: sobol ? of.total_index[i] : null, totalError: sobol ? of.total_error[i] : null }))
    .sort((a, b) => sobol ? (b.total === null ? -1 : b.total) - (a.total === null ? -1 : a.total) : Math.abs(b.rank || 0) - Math.abs(a.rank || 0));
  const narrow = width < 620;
  const left = narrow ? 12 : 290;
  const each = (sobol ? 62 : 34) + (narrow ? 18 : 0);
  const top = 42;
  const height = rows.length * each;
  const marks = (s, v, y, look, error = 0) => v === null ? '' : `<rect x="${Math.min(s(0), s(v))}" width="${Math.abs(s(v) - s(0))}" y="${y}" height="13" fill="${look}" stroke="var(--ink)" stroke-width=".8"/>` +
    `<text x="${s(Math.min(1.05, Math.max(0, v + (error || 0)))) + 5}" y="${y + 11}" font-size="12" class="halo">${(v > 0 ? '+' : '') + number(v, 2)}</text>`;
  const whisker = (s, v, e, y) => v === null || e === null ? '' : `<line x1="${s(Math.max(-1.05, v - e))}" x2="${s(Math.min(1.05, v + e))}" y1="${y + 6.5}" y2="${y + 6.5}" stroke="var(--ink)" stroke-width="1.6"/>`;
  const looks = sobol ? [['Rank correlation', 'var(--entering)'], ['Alone', 'url(#bar-close)'], ['In all', 'url(#bar-broken)']] : [['Rank correlation', 'var(--entering)']];
  let kx = 12;
  const key = looks.map(([word, look]) => { const text = `<rect x="${kx}" y="6" width="20" height="12" fill="${look}" stroke="var(--ink)" stroke-width=".7"/><text x="${kx + 26}" y="17" font-size="12">${word}</text>`; kx += 46 + word.length * 7.2; return text; }).join('');
  const none = rows.every((r) => r.rank === null && r.total === null);
  const body = barPatterns + key + panel({ box: { left, top, width: width - left - 52, height }, x: [-1.05, 1.05], y: [0, 1], yTicks: [], lines: [],
    xTicks: [-1, -0.5, 0, 0.5, 1].map((v) => ({ v, label: number(v, 1) })),
    over: (sx) => `<line x1="${sx(0)}" x2="${sx(0)}" y1="${top}" y2="${top + height}" stroke="var(--ink)"/>` + rows.map((r, i) => {
      const y = top + each * i + (narrow ? 24 : 6);
      const middle = top + each * (i + 0.5) + 4;
      return `<text x="${narrow ? left + 4 : left - 10}" y="${narrow ? y - 8 : middle}" text-anchor="${narrow ? 'start' : 'end'}" font-size="12.5">${escape(fitted(r.path, narrow ? width - 30 : left - 10))}</text>` +
        (r.rank === null && r.total === null ? `<text x="${sx(0) + 5}" y="${y + 15}" font-size="12" class="muted">none</text>` : '') +
        marks(sx, r.rank, y + (sobol ? 0 : 4), 'var(--entering)') +
        (sobol ? marks(sx, r.first, y + 17, 'url(#bar-close)', r.firstError) + whisker(sx, r.first, r.firstError, y + 17) + marks(sx, r.total, y + 34, 'url(#bar-broken)', r.totalError) + whisker(sx, r.total, r.totalError, y + 34) : '');
    }).join('') });
  byId('matter-chart').innerHTML = none ? '<p>This number is not known in every case, or does not vary, so the study has no sensitivities for it.</p>'
    : svg(width, top + height + 26, 'What moves ' + of.title.toLowerCase() + ', the strongest first; the numbers stand in the table below', body);
  byId('matter-said').textContent = 'Rank correlation: +1, the number always rises with the value; −1, it always falls; 0, no steady connection. A value in words has none.' +
    (sobol ? ' Alone, in all (first-order and total Sobol index): the share of the number’s variance that the value explains by itself, and with all that it does together with others; the thin line is their standard error.' : '');
  const digits = (v) => v === null ? '–' : number(v, 2);
  byId('matter-table').innerHTML = table('What moves: ' + of.title, sobol ? ['Value of the design', 'Rank correlation', 'Alone', 'Its error', 'In all', 'Its error'] : ['Value of the design', 'Rank correlation'],
    rows.map((r) => sobol ? [r.path, digits(r.rank), digits(r.first), digits(r.firstError), digits(r.total), digits(r.totalError)] : [r.path, digits(r.rank)]));
  drawPoints(of);
}

function drawPoints(of) {
  const whole = widthOf(byId('points'));
  const columns = whole < 560 ? 1 : whole < 900 ? 2 : 3;
  const width = Math.floor((whole - 16 * (columns - 1)) / columns);
  const found = independent(of);
  if (found.length === 0) { byId('points').innerHTML = '<p>No case has this number.</p>'; return; }
  const limit = of.limit && of.limit[1] - of.limit[0] < 1e-6 ? of.limit : null;
  const y = rangeOf(of, found.map((f) => f[0]), limit);
  byId('points').innerHTML = `<div class="multiples" style="grid-template-columns: repeat(${columns}, minmax(0, 1fr))">` + factors.map((f, i) => {
    const words = f.words ? [...new Set(f.values)] : null;
    const place = (index) => words ? words.indexOf(f.values[index]) : scaled(f, f.values[index]);
    const places = found.map((p) => place(p[1]));
    let x = [Math.min(...places), Math.max(...places)];
    const room = Math.max(0.06 * (x[1] - x[0]), words ? 0.5 : 1e-6 * Math.max(1, Math.abs(x[1])));
    x = [x[0] - room, x[1] + room];
    const ticks = words ? words.map((w, n) => ({ v: n, label: fitted(w, (width - 60) / words.length) })) : niceTicks(x[0], x[1], Math.max(2, width / 80));
    const unit = words ? '' : unitText(f);
    return svg(width, 250, of.title + ' against ' + f.path + '; the numbers stand in the table of all cases', panel({
      box: { left: 46, top: 26, width: width - 56, height: 180 }, x, y, xTicks: ticks, title: fitted(f.path + (unit ? ', ' + unit : ''), 0.86 * (width - 46)), // bold letters are wider
      rules: limit ? [{ y: scaled(of, limit[0]), label: 'limit' }] : [], lines: [],
      over: (sx, sy) => found.map(([v, index], n) => mark(sx(places[n]), sy(scaled(of, v)), index, 'entering')).join('') }));
  }).join('') + '</div>';
  byId('points-said').textContent = of.title + (unitText(of) ? ', ' + unitText(of) : '') + ', against each value that varied.';
}

function startSamples() {
  const names = outputs.map((o) => o.title);
  const coldest = Math.max(0, outputs.findIndex((o) => o.name === 'coldest_fluid'));
  fillSelect(byId('spread-what'), names, coldest);
  fillSelect(byId('matter-what'), names, coldest);
  byId('spread-what').addEventListener('change', drawSpread);
  byId('matter-what').addEventListener('change', drawMatter);
  redraws.push(drawSpread, drawChances, drawMatter);
}

// ---- all cases -------------------------------------------------------------------------------

const list = { by: 'case', up: true };
const listed = ['worst_margin', 'coldest_fluid', 'entering_minimum', 'entering_maximum', 'backup_energy', 'heating_performance', 'pipe_length', 'excavation'];

function columnsOf() {
  const value = (of) => ({ title: of.title + (unitText(of) ? ', ' + unitText(of) : ''), sort: (i) => of.values[i], text: (i) => escape(told(of, of.values[i], true, 1)) });
  return [{ key: 'case', title: 'Case', sort: (i) => i, text: String },
    ...factors.map((f, n) => ({ key: 'f' + n, title: f.path + (f.levels || f.words || !unitText(f) ? '' : ', ' + unitText(f)), sort: (i) => valueOf(n, i), text: (i) => escape(levelText(n, levelOf(n, i), true)) })),
    { key: 'verdict', title: 'Verdict', sort: (i) => data.verdict[i], text: badge },
    ...listed.map((name) => outputs.find((o) => o.name === name)).filter(Boolean).map((of) => ({ key: of.name, ...value(of) }))];
}

/** A path may break after its dots. */
const breakable = (text) => escape(text).replace(/\./g, '.<wbr>');

const mostRows = 300;
function drawCases() {
  const columns = columnsOf();
  const by = columns.find((c) => c.key === list.by) || columns[0];
  const order = Array.from({ length: data.cases }, (v, i) => i).sort((a, b) => {
    const [x, y] = [by.sort(a), by.sort(b)];
    if (x === null || y === null) { return (x === null) - (y === null) || a - b; } // what has no number comes last
    return (x < y ? -1 : x > y ? 1 : 0) * (list.up ? 1 : -1) || a - b;
  });
  const shown = order.slice(0, mostRows);
  const had = document.activeElement && document.activeElement.dataset.by;
  const head = columns.map((c) => `<th scope="col"${c === by ? ` aria-sort="${list.up ? 'ascending' : 'descending'}"` : ''}>` +
    `<button type="button" class="sort" data-by="${c.key}">${breakable(c.title)} <span aria-hidden="true">${c === by ? (list.up ? '▲' : '▼') : '↕'}</span></button></th>`).join('');
  const rows = shown.map((i) => '<tr>' + columns.map((c, n) => n === 0 ? `<th scope="row">${c.text(i)}</th>` : `<td class="n">${c.text(i)}</td>`).join('') + '</tr>').join('');
  byId('cases-table').innerHTML = '<div class="scroll tall" tabindex="0" role="region" aria-label="Table of all cases"><table class="cases"><caption>Table of all cases</caption>' +
    `<thead><tr>${head}</tr></thead><tbody>${rows}</tbody></table></div>`;
  byId('cases-note').textContent = data.cases > mostRows ? 'The first ' + mostRows + ' of ' + data.cases + ' in that order are shown; all are in the study’s file.' : '';
  byId('cases-table').querySelectorAll('button').forEach((b) => {
    b.addEventListener('click', () => {
      list.up = list.by === b.dataset.by ? !list.up : true;
      list.by = b.dataset.by;
      drawCases();
    });
    if (had && b.dataset.by === had) { b.focus(); }
  });
}

starts.push(() => {
  if (data.grid) { startMap(); } else { startSamples(); }
  redraws.push(drawCases);
});
