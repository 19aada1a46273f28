// Water, the coldest week, energy and drift.
const run = data;

// ---- the whole run ---------------------------------------------------------------------------

const waterLines = [
  { key: 'entering', label: 'Entering water', colour: 'entering', dash: [] },
  { key: 'leaving', label: 'Leaving water', colour: 'leaving', dash: [7, 3] },
  { key: 'coldest', label: 'Coldest fluid', colour: 'coldest', dash: [2, 2] },
];
const points = (() => {
  const hours = [];
  for (const [first, count, bucket] of run.series.stretches) {
    const step = bucket === 1 ? 1 : bucket / 2;
    for (let h = 0; h < count; h += step) { hours.push(first + h); }
  }
  const all = { hours };
  for (const l of waterLines) { all[l.key] = valuesOf(run.series[l.key].values, run.series[l.key].step); }
  return all;
})();

function firstPointAt(hour) {
  let low = 0;
  let high = points.hours.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (points.hours[middle] < hour) { low = middle + 1; } else { high = middle; }
  }
  return low;
}

/** Rows [hour, values in shown units] of points from..to: all, or of each group its least and greatest in order. */
function rowsOf(from, to, groups) {
  const rows = [];
  const shown = (v) => isNaN(v) ? null : toShown('temperature', v);
  if (to - from <= 2 * groups) {
    for (let i = from; i < to; i++) {
      rows.push([points.hours[i], ...waterLines.map((l) => shown(points[l.key][i]))]);
    }
    return rows;
  }
  for (let g = 0; g < groups; g++) {
    const a = Math.floor(from + (to - from) * g / groups);
    const b = Math.floor(from + (to - from) * (g + 1) / groups);
    const first = [points.hours[a]];
    const second = [points.hours[(a + b) >> 1]];
    for (const l of waterLines) {
      const values = points[l.key];
      let low = -1;
      let high = -1;
      for (let i = a; i < b; i++) {
        if (isNaN(values[i])) { continue; }
        if (low < 0 || values[i] < values[low]) { low = i; }
        if (high < 0 || values[i] > values[high]) { high = i; }
      }
      first.push(low < 0 ? null : shown(values[Math.min(low, high)]));
      second.push(low < 0 ? null : shown(values[Math.max(low, high)]));
    }
    rows.push(first, second);
  }
  return rows;
}

const water = { chart: null, from: 0, to: run.hours };

/** Fine within the window and half its width beside it, coarse beyond, so that panning finds something. */
function waterRows() {
  const half = (water.to - water.from) / 2;
  const a = firstPointAt(water.from - half);
  const b = firstPointAt(water.to + half);
  return rowsOf(0, a, 250).concat(rowsOf(a, b, 1500), rowsOf(b, points.hours.length, 250));
}

/** What the chart shows upwards: from the freeze point for much of the run, else what is in view, with the limit if it is near. */
function waterRange(from, to) {
  const much = to - from > 0.4 * run.hours;
  const [a, b] = much ? [0, points.hours.length] : [firstPointAt(from), firstPointAt(to)];
  let low = much ? run.freeze : Infinity;
  let high = -Infinity;
  for (const l of waterLines) {
    for (let i = a; i < b; i++) {
      const v = points[l.key][i];
      if (v < low) { low = v; }
      if (v > high) { high = v; }
    }
  }
  if (low > high) { return null; }
  if (Math.abs(run.coldest_limit - low) < 4) { low = Math.min(low, run.coldest_limit); }
  const room = Math.max(0.06 * (high - low), 0.2);
  return [toShown('temperature', low - room), toShown('temperature', high + room)];
}

// Named in the legend: on the chart their names would cover the rings of the coldest hours.
const waterRules = () => [
  { value: run.coldest_limit, label: 'Limit of the coldest fluid', dash: [9, 4] },
  { value: run.low_limit, label: 'Lower limit of entering water', dash: [9, 3, 2, 3] },
  { value: run.high_limit, label: 'Upper limit of entering water', dash: [9, 3, 2, 3, 2, 3] },
  { value: run.freeze, label: 'Fluid freezes', dash: [2, 3] },
].map((r) => ({ ...r, y: toShown('temperature', r.value) }));

/** Text with a rim in the colour of the ground it stands on. */
function write(context, text, x, y) {
  context.save();
  context.setLineDash([]);
  context.lineWidth = 4;
  context.lineJoin = 'round';
  context.strokeStyle = css('panel');
  context.fillStyle = css('ink');
  context.strokeText(text, x, y);
  context.fillText(text, x, y);
  context.restore();
}

function underlay(context, area, chart) {
  const [low, high] = chart.yAxisRange();
  context.save();
  context.font = '12px system-ui, sans-serif';
  for (const rule of waterRules()) {
    if (rule.y < low || rule.y > high) { continue; }
    const y = chart.toDomYCoord(rule.y);
    context.strokeStyle = css('broken');
    context.setLineDash(rule.dash);
    context.beginPath();
    context.moveTo(area.x, y);
    context.lineTo(area.x + area.w, y);
    context.stroke();
  }
  context.setLineDash([]);
  context.textAlign = 'center';
  for (const year of run.years) {
    const [value, hour] = year.coldest;
    if (value === null || hour < 0) { continue; }
    const x = chart.toDomXCoord(hour);
    const y = chart.toDomYCoord(toShown('temperature', value));
    if (x < area.x || x > area.x + area.w || y > area.y + area.h) { continue; }
    context.strokeStyle = css('ink');
    context.lineWidth = 1.8;
    context.beginPath();
    context.arc(x, y, 5, 0, 2 * Math.PI);
    context.stroke();
    if (area.w / run.years.length > 44 || water.to - water.from < 3 * 8760) {
      write(context, show('temperature', value, true), Math.min(Math.max(x, area.x + 18), area.x + area.w - 18), y + 19);
    }
  }
  context.restore();
}

function saySpan() {
  const [a, b] = [firstPointAt(water.from), firstPointAt(water.to)];
  let least = Infinity;
  let at = -1;
  for (let i = a; i < b; i++) {
    if (points.coldest[i] < least) { least = points.coldest[i]; at = points.hours[i]; }
  }
  for (const { coldest: [value, hour] } of run.years) { // these are exact
    if (hour >= water.from && hour < water.to && value <= least + run.series.coldest.step) { least = value; at = hour; }
  }
  byId('water-shown').textContent = 'Shown: ' + hourText(water.from) + ' to ' + hourText(water.to - 1) +
    (at < 0 ? '.' : '. Coldest fluid in view: ' + show('temperature', least) + ' (' + hourText(at) + ').');
}

function moveWater(from, to, keepZoom) {
  const span = Math.min(run.hours, Math.max(12, to - from));
  water.from = Math.max(0, Math.min(run.hours - span, Math.round(from)));
  water.to = water.from + Math.round(span);
  if (water.chart) {
    const options = { file: waterRows(), dateWindow: [water.from, water.to] };
    if (!keepZoom) { options.valueRange = waterRange(water.from, water.to); }
    water.quiet = true;
    water.chart.updateOptions(options);
    water.quiet = false;
  }
  saySpan();
}

function followChart() {
  if (water.quiet || !water.chart) { return; }
  clearTimeout(water.timer);
  water.timer = setTimeout(() => {
    const [a, b] = water.chart.xAxisRange();
    if (Math.abs(a - water.from) > 0.5 || Math.abs(b - water.to) > 0.5) { moveWater(a, b, true); }
  }, 120);
}

/** One finger scrolls the page; two zoom the chart. */
function waterTouches() {
  const model = { ...Dygraph.defaultInteractionModel };
  for (const name of ['touchstart', 'touchmove']) {
    const usual = model[name];
    model[name] = (event, chart, context) => {
      if (event.touches.length > 1) { usual(event, chart, context); }
    };
  }
  return model;
}

function drawLegend() {
  const sample = (colour, dash, width) =>
    `<svg viewBox="0 0 38 12" aria-hidden="true"><line x1="0" x2="38" y1="6" y2="6" stroke="var(--${colour})" stroke-width="${width}" stroke-dasharray="${dash.join(' ')}"/></svg>`;
  const high = waterRange(0, run.hours)[1];
  byId('water-legend').innerHTML = waterLines.map((l) => `<span>${sample(l.colour, l.dash, 2.5)}${l.label}, ${unitOf('temperature')}</span>`).join('') +
    waterRules().map((r) => `<span>${sample('broken', r.dash, 1.4)}${r.label}, ${show('temperature', r.value)}${r.y > high ? ' (above the chart)' : ''}</span>`).join('');
}

function drawWater() {
  drawLegend();
  drawStill();
  if (typeof Dygraph === 'undefined') {
    for (const place of [byId('water-chart'), byId('water-shown'), byId('water-hint'), byId('water-move')]) { place.style.display = 'none'; }
    byId('water-still').className = '';
    return;
  }
  if (water.chart) { water.chart.destroy(); }
  const series = {};
  for (const l of waterLines) { series[l.label] = { strokePattern: l.dash.length ? l.dash : null }; }
  water.chart = new Dygraph(byId('water-chart'), waterRows(), {
    labels: ['hour', ...waterLines.map((l) => l.label)],
    colors: waterLines.map((l) => css(l.colour)),
    interactionModel: waterTouches(), series, strokeWidth: 1.4, legend: 'never', connectSeparatedPoints: false,
    dateWindow: [water.from, water.to], valueRange: waterRange(water.from, water.to),
    gridLineColor: css('grid'), axisLineColor: css('muted'), axisLabelFontSize: 13, axisLabelWidth: 60,
    animatedZooms: false, underlayCallback: underlay, drawCallback: followChart,
    highlightCallback: (event, hour, found) => {
      byId('water-shown').textContent = hourText(hour) + ': ' + found.map((f) =>
        f.name.toLowerCase() + ' ' + number(f.yval, 1) + ' ' + unitOf('temperature')).join(', ');
    },
    unhighlightCallback: saySpan,
    axes: {
      x: { drawGrid: true, ticker: (a, b, pixels) => timeTicks(a, Math.min(b, run.hours - 1), Math.max(2, Math.floor(pixels / 95))), valueFormatter: hourText },
      y: { drawGrid: true, ticker: (a, b, pixels) => niceTicks(a, b, Math.max(2, pixels / 44)), valueFormatter: (v) => number(v, 1) },
    },
  });
  const canvases = byId('water-chart').querySelectorAll('canvas');
  canvases.forEach((c) => c.setAttribute('aria-hidden', 'true'));
  saySpan();
}

/** For print, and where there is no chart library. */
function drawStill() {
  const rows = rowsOf(0, points.hours.length, 700);
  const box = { left: 44, top: 12, width: 830, height: 330 };
  const lines = waterLines.map((l, i) => ({ points: rows.map((r) => [r[0], r[i + 1] === null ? NaN : r[i + 1]]), colour: l.colour, dash: l.dash.join(' '), width: 1 }));
  byId('water-still').innerHTML = svg(900, 380, byId('water-caption').textContent, panel({
    box, x: [0, run.hours], y: waterRange(0, run.hours), xTicks: timeTicks(0, run.hours - 1, 8), lines,
    rules: waterRules().map((r) => ({ y: r.y, label: '', dash: r.dash.join(' ') })),
    over: (sx, sy) => run.years.filter((y) => y.coldest[0] !== null).map((y) =>
      `<circle cx="${sx(y.coldest[1])}" cy="${sy(toShown('temperature', y.coldest[0]))}" r="4" fill="none" stroke="var(--ink)" stroke-width="1.5"/>`).join(''),
  }));
}

function startWater() {
  byId('water-thinned').textContent = run.series.bucket === 1
    ? 'Every hour of the run is in this page.'
    : 'Of every ' + run.series.bucket + ' hours the least and the greatest value are kept, in the order in which they came; the weeks around each year’s extremes are kept in full.';
  const go = byId('water-go');
  go.innerHTML = '<option value="">choose a time</option>' + run.years.map((y) =>
    (y.coldest[1] >= 0 ? `<option value="${y.coldest[1]}">year ${y.year}, coldest fluid</option>` : '') +
    (y.high[1] >= 0 ? `<option value="${y.high[1]}">year ${y.year}, hottest entering water</option>` : '')).join('');
  go.addEventListener('change', () => {
    if (go.value !== '') { moveWater(Number(go.value) - 84, Number(go.value) + 84); }
  });
  document.querySelectorAll('[data-move]').forEach((button) => button.addEventListener('click', () => {
    const span = water.to - water.from;
    const middle = (water.to + water.from) / 2;
    const move = {
      whole: [0, run.hours], in: [middle - span / 4, middle + span / 4], out: [middle - span, middle + span],
      earlier: [water.from - span / 2, water.to - span / 2], later: [water.from + span / 2, water.to + span / 2],
    }[button.dataset.move];
    moveWater(move[0], move[1]);
  }));
  redraws.push(drawWater);
}

// ---- the coldest week ------------------------------------------------------------------------

const week = {};
for (const key of ['coldest', 'entering', 'leaving', 'air', 'load', 'output', 'backup', 'flow', 'reynolds']) {
  week[key] = valuesOf(run.week[key].values, run.week[key].step);
}

function reach(arrays, kind, extra) {
  let low = Infinity;
  let high = -Infinity;
  for (const v of arrays.flatMap((a) => Array.from(a)).concat(extra || [])) {
    if (isFinite(v)) { low = Math.min(low, v); high = Math.max(high, v); }
  }
  if (low > high) { low = 0; high = 1; }
  const a = toShown(kind, low);
  const b = toShown(kind, high);
  const room = Math.max(0.08 * (b - a), 1e-3 * Math.max(1, Math.abs(b)));
  return [a - room, b + room];
}

function drawWeek() {
  const place = byId('week-chart');
  const width = widthOf(place);
  const small = width < 560;
  const box = (top, height) => ({ left: 52, top, width: width - 52 - 16, height });
  const first = run.week.first;
  const ticks = timeTicks(first, first + run.week.count, small ? 4 : 8);
  const line = (key, kind, colour, dash, label) => ({
    points: Array.from(week[key], (v, i) => [first + i + 0.5, toShown(kind, v)]), colour, dash, label });
  const from0 = (range) => [0, Math.max(range[1], 0.1)];
  const panels = [
    { title: 'Water, ' + unitOf('temperature'), height: 190, kind: 'temperature', arrays: [week.coldest, week.entering, week.leaving], extra: [run.coldest_limit],
      rules: [{ y: toShown('temperature', run.coldest_limit), label: 'limit of the coldest fluid' }, { y: toShown('temperature', run.freeze), label: 'fluid freezes', dash: '2 3' }],
      lines: [line('entering', 'temperature', 'entering', '', 'entering'), line('leaving', 'temperature', 'leaving', '7 3', 'leaving'), line('coldest', 'temperature', 'coldest', '2 2', 'coldest fluid')] },
    { title: 'Outdoor air, ' + unitOf('temperature'), height: 110, kind: 'temperature', arrays: [week.air],
      lines: [line('air', 'temperature', 'air', '', 'outdoor air')] },
    { title: 'Heat, ' + unitOf('heat'), height: 150, kind: 'heat', arrays: [week.load, week.output, week.backup], zero: true,
      lines: [line('load', 'heat', 'air', '', 'load'), line('output', 'heat', 'entering', '7 3', 'heat pump'), line('backup', 'heat', 'leaving', '2 2', 'backup')] },
    { title: 'Flow, ' + unitOf('flow'), height: 90, kind: 'flow', arrays: [week.flow], zero: true, lines: [line('flow', 'flow', 'entering', '', 'flow, whole field')] },
    { title: 'Reynolds number', height: 110, kind: 'number', arrays: [week.reynolds], zero: true, extra: [run.reynolds_limit],
      rules: [{ y: run.reynolds_limit, label: 'wanted: ' + number(run.reynolds_limit, 0) }],
      lines: [line('reynolds', 'number', 'coldest', '', 'least of all circuits')] },
  ];
  let top = 46;
  let body = '';
  const bottom = panels.length - 1;
  panels.forEach((p, i) => {
    const range = reach(p.arrays, p.kind, p.extra);
    const b = box(top, p.height);
    body += panel({ box: b, x: [first, first + run.week.count], y: p.zero ? from0(range) : range, title: p.title,
      xTicks: ticks, xLabels: i === bottom, rules: p.rules, lines: p.lines,
      over: (sx) => `<line x1="${sx(run.week.coldest_hour + 0.5)}" x2="${sx(run.week.coldest_hour + 0.5)}" y1="${b.top}" y2="${b.top + b.height}" stroke="var(--ink)" stroke-dasharray="1 3"/>` +
        (i === 0 ? `<text x="${sx(run.week.coldest_hour + 0.5) + 5}" y="${b.top + 13}" font-size="12">coldest hour</text>` : '') });
    if (small && p.lines.length > 1) {
      body += keys(p.lines, width - 8, b.top - 24);
    } else if (p.lines.length > 1) {
      body += keys(p.lines, width - 8, b.top - 8);
    }
    top += p.height + (small ? 56 : 44);
  });
  const label = 'The coldest week: water temperatures, outdoor air, heat, flow and Reynolds number; every value stands in the table below';
  place.innerHTML = svg(width, top - 16, label, body);
  const at = run.week.coldest_hour - first;
  byId('week-intro').textContent = 'From ' + dateText(first) + '. In the coldest hour, ' + hourText(run.week.coldest_hour) +
    ', the coldest fluid is at ' + show('temperature', week.coldest[at]) + ' with ' + show('temperature', week.air[at]) +
    ' outdoors; the house asks for ' + show('heat', week.load[at]) + ', backup gives ' + show('heat', week.backup[at]) + '.';
  byId('week-table').innerHTML = table('The coldest week, hourly means',
    ['Hour', 'Entering, ' + unitOf('temperature'), 'Leaving, ' + unitOf('temperature'), 'Coldest fluid, ' + unitOf('temperature'),
      'Outdoor air, ' + unitOf('temperature'), 'Load, ' + unitOf('heat'), 'Heat pump, ' + unitOf('heat'), 'Backup, ' + unitOf('heat'),
      'Flow, ' + unitOf('flow'), 'Reynolds'],
    Array.from(week.air, (v, i) => [hourText(first + i), show('temperature', week.entering[i], true), show('temperature', week.leaving[i], true),
      show('temperature', week.coldest[i], true), show('temperature', v, true), show('heat', week.load[i], true), show('heat', week.output[i], true),
      show('heat', week.backup[i], true), show('flow', week.flow[i], true), show('number', week.reynolds[i], true)]));
}

// ---- energy ----------------------------------------------------------------------------------

/** Mean of each calendar month over the whole years; over what there is if no year is whole. */
function meanMonths() {
  const whole = run.years.filter((y) => y.whole).map((y) => y.year);
  const rows = run.months.filter((m) => whole.length === 0 || whole.includes(m[0]));
  const order = Array.from({ length: 12 }, (v, i) => (run.start_month - 1 + i) % 12);
  const mean = order.map((month) => ({ month, value: [0, 0, 0, 0, 0, 0, 0, 0] }));
  for (const row of rows) {
    const to = mean[order.indexOf(row[1] - 1)];
    for (let k = 0; k < 8; k++) { to.value[k] += row[2 + k] / Math.max(1, whole.length); }
  }
  return mean;
}

const patterns = `<defs>${pattern('lined', 6, 6, stripe('--entering'), 'rotate(45)')}` +
  pattern('dotted', 6, 6, '<circle cx="3" cy="3" r="1.9" fill="var(--coldest)"/>') +
  pattern('crossed', 7, 7, cross('--broken', 1.6)) +
  pattern('ruled', 6, 5, '<line x1="0" y1="2" x2="6" y2="2" stroke="var(--ink)" stroke-width="1.4"/>') +
  `${pattern('ringed', 9, 9, '<circle cx="4.5" cy="4.5" r="2.8" fill="none" stroke="var(--hottest, var(--ink))" stroke-width="1.4"/>')}</defs>`;

function bars(place, parts, label) {
  const width = widthOf(place);
  const mean = meanMonths();
  const height = 230;
  const box = { left: 56, top: 44, width: width - 56 - 12, height };
  const sum = (m, sign) => parts.filter((p) => p.sign === sign).reduce((a, p) => a + toShown('energy', m.value[p.index]), 0);
  const high = Math.max(1, ...mean.map((m) => sum(m, 1)));
  const low = Math.max(0, ...mean.map((m) => sum(m, -1)));
  const y = [-low * 1.05, high * 1.05];
  let key = '';
  let x = box.left;
  let row = 0;
  for (const p of parts) {
    const needed = 30 + p.label.length * 7.2;
    if (x + needed > width) { x = box.left; row++; }
    key += `<rect x="${x}" y="${4 + 18 * row}" width="20" height="12" fill="${p.fill}" stroke="var(--ink)" stroke-width=".7"/><text x="${x + 25}" y="${14 + 18 * row}" font-size="12">${escape(p.label)}</text>`;
    x += needed + 14;
  }
  box.top += 18 * row;
  const each = box.width / 12;
  const body = patterns + key + panel({ box, x: [0, 12], y, title: '', lines: [],
    under: (sx, sy) => mean.map((m, i) => {
      let up = 0;
      let down = 0;
      const stack = parts.map((p) => {
        const v = toShown('energy', m.value[p.index]);
        const from = p.sign > 0 ? up : down - v;
        if (p.sign > 0) { up += v; } else { down -= v; }
        return v <= 0 ? '' : `<rect x="${sx(i) + each * 0.14}" width="${each * 0.72}" y="${sy(from + v)}" height="${Math.max(0, sy(from) - sy(from + v))}" fill="${p.fill}" stroke="var(--ink)" stroke-width=".7"/>`;
      }).join('');
      return stack + `<text x="${sx(i + 0.5)}" y="${box.top + height + 17}" text-anchor="middle" font-size="12" class="muted">${monthNames[m.month].slice(0, each < 34 ? 1 : 3)}</text>`;
    }).join('') + `<line x1="${box.left}" x2="${box.left + box.width}" y1="${sy(0)}" y2="${sy(0)}" stroke="var(--ink)"/>` });
  place.innerHTML = svg(width, box.top + height + 26, label, body);
}

function drawEnergy() {
  const unit = ', ' + unitOf('energy');
  const used = (part) => run.months.some((m) => m[2 + part.index] !== 0);
  bars(byId('use-chart'), [
    { index: 0, sign: 1, label: 'Compressor, heating' + unit, fill: 'var(--entering)' },
    { index: 1, sign: 1, label: 'Compressor, cooling' + unit, fill: 'url(#lined)' },
    { index: 2, sign: 1, label: 'Fans' + unit, fill: 'url(#ruled)' },
    { index: 3, sign: 1, label: 'Circulators' + unit, fill: 'url(#dotted)' },
    { index: 4, sign: 1, label: 'Backup heat' + unit, fill: 'url(#crossed)' },
    { index: 5, sign: 1, label: 'Hot water element' + unit, fill: 'url(#ringed)' }].filter(used), 'Electricity by month, stacked; the numbers stand in the table of every month');
  bars(byId('heat-chart'), [
    { index: 6, sign: 1, label: 'From the ground' + unit, fill: 'var(--entering)' },
    { index: 7, sign: -1, label: 'Into the ground' + unit, fill: 'url(#lined)' }], 'Heat out of and into the ground by month; the numbers stand in the table of every month');
}

// ---- drift -----------------------------------------------------------------------------------

function drawDrift() {
  const place = byId('drift-chart');
  const width = widthOf(place);
  const years = run.years.filter((y) => y.coldest[0] !== null);
  const fit = run.drift.coldest;
  const last = run.years.length;
  const beyond = fit.fitted ? Math.max(last, Math.ceil(last * 1.3)) : last;
  const curve = [];
  if (fit.fitted) {
    for (let y = fit.first; y <= beyond + 1e-9; y += 0.1) {
      curve.push([y, toShown('temperature', fit.settled + (fit.tau ? fit.distance * Math.exp(-(y - fit.first) / fit.tau) : 0))]);
    }
  }
  const y = reach([years.map((v) => v.coldest[0])], 'temperature', [run.coldest_limit, run.freeze].concat(fit.fitted ? [fit.settled] : []));
  const ticks = [];
  const step = Math.ceil(beyond / (width < 560 ? 8 : 16));
  for (let n = 1; n <= beyond; n += step) { ticks.push({ v: n, label: String(n) }); }
  const body = panel({ box: { left: 52, top: 30, width: width - 52 - 16, height: 260 }, x: [0.5, beyond + 0.5], y, xTicks: ticks,
    title: 'Coldest fluid, ' + unitOf('temperature') + ', by year of the run',
    rules: [{ y: toShown('temperature', run.coldest_limit), label: 'limit' }, { y: toShown('temperature', run.freeze), label: 'fluid freezes', dash: '2 3' }],
    lines: [{ points: curve, colour: 'coldest', dash: '5 4' }],
    over: (sx, sy) => years.map((v) => {
      const [px, py] = [sx(v.year), sy(toShown('temperature', v.coldest[0]))];
      const extreme = v.hard || v.hot || !v.whole;
      return (extreme ? `<rect x="${px - 5}" y="${py - 5}" width="10" height="10" fill="var(--leaving)" stroke="var(--ink)"/>`
        : `<circle cx="${px}" cy="${py}" r="5.5" fill="var(--panel)" stroke="var(--ink)" stroke-width="2"/>`) +
        (years.length <= 14 && width > 560 ? `<text x="${px}" y="${py - 11}" text-anchor="middle" font-size="12">${show('temperature', v.coldest[0], true)}</text>` : '');
    }).join('') });
  place.innerHTML = svg(width, 320, 'Coldest fluid of each year; the numbers stand in the table of each year’s extremes', body);
  byId('drift-note').textContent = fit.fitted
    ? 'The dashed curve is the fit to the typical years; it settles at ' + show('temperature', fit.settled) + '.'
    : 'The typical years are too few or too scattered for a fit of where they settle.';
}

starts.push(() => {
  startWater();
  redraws.push(drawWeek, drawEnergy, drawDrift);
});
