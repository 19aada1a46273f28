// Several runs: their water over each other, and year by year.
const runs = data.runs;
const looks = ['entering', 'leaving', 'coldest', 'clear', 'broken', 'air'];
const dashes = ['', '8 3', '2 3', '9 3 2 3', '5 2', '14 4'];
const lookOf = (i) => ({ colour: looks[i % 6], dash: dashes[(i + Math.floor(i / 6)) % 6] });

const shows = [
  { key: 'coldest', title: 'Coldest fluid', daily: 'the least of each day anywhere in the loop', year: 'coldest', least: true, limit: 'coldest_limit', freeze: true },
  { key: 'low', title: 'Coldest entering water', daily: 'the least of each day into the heat pumps while the pump runs', year: 'low', least: true, limit: 'low_limit', freeze: true },
  { key: 'high', title: 'Hottest entering water', daily: 'the greatest of each day into the heat pumps while the pump runs', year: 'high', least: false, limit: 'high_limit', freeze: false },
];

// Days since the first run's first day of the year; runs that begin on another one are moved to their season.
const dayOfYear = (r) => monthDays.slice(0, r.start_month - 1).reduce((a, b) => a + b, 0) + r.start_day - 1;
for (const r of runs) {
  r.shift = ((dayOfYear(r) - dayOfYear(runs[0])) % 365 + 365) % 365 * 24;
  for (const s of shows) { r.days[s.key] = valuesOf(r.days[s.key], r.step); }
}
const shifted = runs.some((r) => r.shift > 0);
const end = Math.max(...runs.map((r) => r.shift + r.hours));
const view = { from: 0, to: end };
const showing = () => shows[Number(byId('water-what').value)];

/** The days of a run in view, or of each group of days the one that matters. */
function pointsOf(r, show, groups) {
  const days = r.days[show.key];
  const first = Math.max(0, Math.floor((view.from - r.shift) / 24));
  const last = Math.min(days.length, Math.ceil((view.to - r.shift) / 24));
  const size = Math.max(1, Math.ceil((last - first) / groups));
  const found = [];
  for (let d = first; d < last; d += size) {
    let at = -1;
    for (let i = d; i < Math.min(last, d + size); i++) {
      if (isFinite(days[i]) && (at < 0 || (show.least ? days[i] < days[at] : days[i] > days[at]))) { at = i; }
    }
    found.push(at < 0 ? [r.shift + 24 * d + 12, NaN] : [r.shift + 24 * at + 12, toShown('temperature', days[at])]);
  }
  return { points: found, size };
}

/** Limits and freeze points, those that are alike together. */
function rulesOf(show) {
  const found = new Map();
  const add = (name, dash, value, letter) => {
    const key = name + rounded(value);
    if (!found.has(key)) { found.set(key, { name, dash, value, letters: [] }); }
    found.get(key).letters.push(letter);
  };
  for (const r of runs) {
    add('limit', '9 4', r[show.limit], r.letter);
    if (show.freeze) { add('fluid freezes', '2 3', r.freeze, r.letter); }
  }
  return [...found.values()].map((f) => ({ ...f, y: toShown('temperature', f.value),
    label: f.name + (f.letters.length === runs.length ? '' : ', ' + f.letters.join(', ')) }));
}
const rounded = (value) => value.toFixed(2);

function rangeAround(values, rules) {
  let low = Math.min(...values);
  let high = Math.max(...values);
  const span = Math.max(high - low, 0.5);
  for (const r of rules) { if (r.y > low - span && r.y < high + span) { low = Math.min(low, r.y); high = Math.max(high, r.y); } }
  return [low - 0.06 * (high - low) - 0.1, high + 0.06 * (high - low) + 0.1];
}

function drawWater() {
  const show = showing();
  const width = widthOf(byId('water-chart'));
  const lines = runs.map((r, i) => ({ ...lookOf(i), ...pointsOf(r, show, Math.max(60, width / 1.5)), label: r.letter, width: 1.6 }));
  const rules = rulesOf(show);
  const values = lines.flatMap((l) => l.points.map((p) => p[1])).filter(isFinite);
  const y = values.length ? rangeAround(values, rules) : [0, 1];
  byId('water-legend').innerHTML = lines.map((l, i) => `<span><svg viewBox="0 0 38 12" aria-hidden="true"><line x1="0" x2="38" y1="6" y2="6" stroke="var(--${l.colour})" stroke-width="2.6" stroke-dasharray="${l.dash}"/></svg>${l.label}: ${escape(runs[i].file)}</span>`).join('') +
    rules.map((r) => `<span><svg viewBox="0 0 38 12" aria-hidden="true"><line x1="0" x2="38" y1="6" y2="6" stroke="var(--broken)" stroke-width="1.4" stroke-dasharray="${r.dash}"/></svg>${escape(r.label)}, ${degreesText(r.value)}${r.y > y[1] ? ' (above the chart)' : r.y < y[0] ? ' (below the chart)' : ''}</span>`).join('');
  const x = [view.from, view.to];
  byId('water-chart').innerHTML = svg(width, 400, show.title + ' of the runs; each year’s extremes stand in the table below', panel({
    box: { left: 52, top: 30, width: width - 68, height: 330 }, x, y, lines, title: show.title + ', ' + unitOf('temperature'),
    xTicks: timeTicks(view.from, view.to - 1, Math.max(2, Math.floor((width - 68) / 95))),
    rules: rules.map((r) => ({ y: r.y, label: '', dash: r.dash })) }));
  byId('water-said').textContent = show.title + ': ' + show.daily + (lines[0].size > 1 ? '; where days are too many to draw, of each ' + lines[0].size + ' days the ' + (show.least ? 'least' : 'greatest') : '') + '.' +
    (shifted ? ' The runs begin on different days of the year; each is drawn at its season, and years count from the first day of A.' : '');
  saySpan(show);
}
const degreesText = (value) => show('temperature', value);

function saySpan(show) {
  const text = runs.map((r) => {
    let at = -1;
    const days = r.days[show.key];
    for (let d = Math.max(0, Math.floor((view.from - r.shift) / 24)); d < Math.min(days.length, (view.to - r.shift) / 24); d++) {
      if (isFinite(days[d]) && (at < 0 || (show.least ? days[d] < days[at] : days[d] > days[at]))) { at = d; }
    }
    return r.letter + ' ' + (at < 0 ? 'nothing' : degreesText(days[at]) + ' (' + dateText(r.shift + 24 * at) + ')');
  });
  byId('water-shown').textContent = 'Shown: ' + dateText(view.from) + ' to ' + dateText(view.to - 1) + '. ' + (show.least ? 'Coldest' : 'Hottest') + ' in view: ' + text.join('; ') + '.';
}

function moveTo(from, to) {
  const span = Math.min(end, Math.max(7 * 24, to - from));
  view.from = Math.max(0, Math.min(end - span, Math.round(from)));
  view.to = view.from + Math.round(span);
  drawWater();
}

// ---- years -----------------------------------------------------------------------------------

function drawYears() {
  const show = showing();
  const width = widthOf(byId('years-chart'));
  const last = Math.max(...runs.map((r) => r.years.length));
  const rules = rulesOf(show);
  const values = runs.flatMap((r) => r.years.map((v) => v[show.year][0])).filter((v) => v !== null).map((v) => toShown('temperature', v));
  if (values.length === 0) { byId('years-chart').innerHTML = '<p>No run has a year of this.</p>'; return; }
  const step = Math.ceil(last / (width < 560 ? 8 : 16));
  const ticks = [];
  for (let n = 1; n <= last; n += step) { ticks.push({ v: n, label: String(n) }); }
  // Runs stand beside each other within a year, so that letters do not cover each other.
  const beside = (i) => runs.length > 1 ? (i / (runs.length - 1) - 0.5) * Math.min(0.5, 0.14 * runs.length) : 0;
  byId('years-chart').innerHTML = svg(width, 330, show.title + ' of each year and run; the numbers stand in the table below', panel({
    box: { left: 52, top: 30, width: width - 68, height: 262 }, x: [0.4, last + 0.6], y: rangeAround(values, rules), xTicks: ticks,
    title: show.title + ', ' + unitOf('temperature') + ', by year of the run',
    rules: rules.map((r) => ({ y: r.y, label: r.label, dash: r.dash })),
    lines: runs.map((r, i) => ({ ...lookOf(i), width: 1.2, points: r.years.filter((v) => v[show.year][0] !== null).map((v) => [v.year + beside(i), toShown('temperature', v[show.year][0])]) })),
    over: (sx, sy) => runs.map((r, i) => r.years.map((v) => {
      const value = v[show.year][0];
      if (value === null) { return ''; }
      const [px, py] = [sx(v.year + beside(i)), sy(toShown('temperature', value))];
      const shape = v.hard || v.hot || !v.whole ? `<rect x="${px - 9}" y="${py - 9}" width="18" height="18"` : `<circle cx="${px}" cy="${py}" r="9"`;
      return `${shape} fill="var(--panel)" stroke="var(--${lookOf(i).colour})" stroke-width="2"/><text x="${px}" y="${py + 4}" text-anchor="middle" font-size="11" font-weight="600">${r.letter}</text>`;
    }).join('')).join('') }));
  byId('years-said').textContent = show.title + ' of each year of each run.';
  const rows = [];
  for (let y = 0; y < last; y++) {
    rows.push(['Year ' + (y + 1), ...shows.flatMap((s) => runs.map((r) => {
      const v = r.years[y];
      return v ? degreesText(v[s.year][0]) + (v.hard && s.least ? ' (hard winter)' : '') + (v.hot && !s.least ? ' (hot summer)' : '') + (v.whole ? '' : ' (not whole)') : '–';
    }))]);
  }
  byId('years-table').innerHTML = table('Extremes of each year', ['Year', ...shows.flatMap((s) => runs.map((r) => s.title + ', ' + r.letter))], rows);
}

starts.push(() => {
  byId('water-what').innerHTML = shows.map((s, i) => `<option value="${i}">${s.title}</option>`).join('');
  const extremes = (key, word) => runs.flatMap((r) => {
    const known = r.years.filter((v) => v[key][0] !== null && v[key][1] >= 0);
    if (known.length === 0) { return []; }
    const best = known.reduce((a, b) => (key === 'high' ? b[key][0] > a[key][0] : b[key][0] < a[key][0]) ? b : a);
    return [`<option value="${r.shift + best[key][1]}">${r.letter}, ${word}</option>`];
  }).join('');
  byId('water-go').innerHTML = '<option value="">choose a time</option>' + extremes('coldest', 'coldest fluid') + extremes('high', 'hottest entering water');
  byId('water-go').addEventListener('change', () => {
    const at = byId('water-go').value;
    if (at !== '') { moveTo(Number(at) - 45 * 24, Number(at) + 45 * 24); }
  });
  byId('water-what').addEventListener('change', () => { drawWater(); drawYears(); });
  document.querySelectorAll('[data-move]').forEach((button) => button.addEventListener('click', () => {
    const span = view.to - view.from;
    const middle = (view.to + view.from) / 2;
    const move = { whole: [0, end], in: [middle - span / 4, middle + span / 4], out: [middle - span, middle + span],
      earlier: [view.from - span / 2, view.to - span / 2], later: [view.from + span / 2, view.to + span / 2] }[button.dataset.move];
    moveTo(move[0], move[1]);
  }));
  redraws.push(drawWater, drawYears);
});
