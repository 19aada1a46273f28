// The soil: the cut across the trenches, the columns under one, the ice; and the layout.

const soil = run.ground;
const field = run.field;
const cells = soil.rows * soil.columns;

// The legs of a trench: pipes along it, coils lying flat (wide in the cut) or standing (high).
const pipes = field.legs.map((leg) => ({ ...leg, coil: leg.diameter > 0, wide: leg.diameter > 0 && !leg.upright ? leg.diameter : 0,
  high: leg.diameter > 0 && leg.upright ? leg.diameter : 0 }));
const firstCoil = pipes.find((p) => p.coil);
const pipeSize = field.pipe || 0.03;
const floorDepth = Math.max(...pipes.map((p) => p.depth + p.high / 2)) + pipeSize / 2;
const longest = Math.max(...field.lengths);
// Where its last leg leads away from the headers, the water leaves at the far end.
const through = pipes.filter((p) => p.circuit === 1).pop().outward;
const centres = Array.from({ length: field.trenches }, (v, i) => (i - (field.trenches - 1) / 2) * field.spacing);

/** Frames unpacked when first shown. */
function frame(index) {
  const f = soil.frames[index];
  if (!f.levels) {
    f.levels = bytesOf(f.t);
    const packed = f.ice ? bytesOf(f.ice) : null;
    f.share = new Uint8Array(cells);
    for (let c = 0; packed && c < cells; c++) { f.share[c] = c % 2 ? packed[c >> 1] >> 4 : packed[c >> 1] & 15; }
  }
  return f;
}
const degrees = (level) => level === 255 ? NaN : soil.low + level * soil.step;
const iceAt = (f, c) => f.share[c] / 15;

function columnAt(x) {
  const at = soil.half ? Math.abs(x) : x;
  for (let i = 0; i < soil.columns; i++) { if (at < soil.x[i + 1]) { return i; } }
  return soil.columns - 1;
}
function rowAt(depth) {
  for (let k = 0; k < soil.rows; k++) { if (depth < soil.z[k + 1]) { return k; } }
  return soil.rows - 1;
}
const middleDepth = (k) => (soil.z[k] + soil.z[k + 1]) / 2;
// The trench nearest the field's middle has neighbours on either side.
const middleTrench = centres.reduce((a, b) => Math.abs(b) < Math.abs(a) - 1e-9 || (Math.abs(Math.abs(b) - Math.abs(a)) < 1e-9 && b > a) ? b : a, centres[0]);
const coilRow = rowAt(pipes[0].depth);
const trenchColumn = columnAt(middleTrench + pipes[0].across);

// ---- the cut ---------------------------------------------------------------------------------

const cut = { year: null, frames: [], at: 0, timer: 0 };
const shareOf = (value) => (value - soil.low) / (254 * soil.step);

function cutGeometry() {
  const place = byId('cut').parentElement;
  const width = Math.max(280, place.clientWidth);
  const depth = soil.z[soil.rows];
  const high = soil.x[soil.columns];
  const low = soil.half ? -high : soil.x[0];
  const whole = width / (high - low);
  const scale = byId('cut-view').value === 'whole' ? whole : Math.max(whole, Math.min(430, Math.max(300, 0.55 * width)) / depth);
  const reach = width / scale;
  return { width, height: Math.round(depth * scale) + 22, scale, left: Math.max(low, Math.min(middleTrench - reach / 2, high - reach)) };
}

/** Draws frame f; g: from cutGeometry. */
function paintCut(context, f, g) {
  const sx = (x) => (x - g.left) * g.scale;
  const sy = (z) => 22 + z * g.scale;
  context.fillStyle = g.paper ? '#ffffff' : css('panel');
  context.fillRect(0, 0, g.width, g.height);
  const sides = soil.half ? [1, -1] : [1];
  for (const side of sides) {
    for (let i = 0; i < soil.columns; i++) {
      const [a, b] = [sx(side * soil.x[i]), sx(side * soil.x[i + 1])];
      const [x0, x1] = [Math.min(a, b), Math.max(a, b)];
      if (x1 < 0 || x0 > g.width) { continue; }
      for (let k = 0; k < soil.rows; k++) {
        const c = k * soil.columns + i;
        const [y0, y1] = [sy(soil.z[k]), sy(soil.z[k + 1])];
        context.fillStyle = f.levels[c] === 255 ? css('panel') : colourText(f.levels[c] / 254);
        context.fillRect(Math.floor(x0), Math.floor(y0), Math.ceil(x1) - Math.floor(x0) + 0.5, Math.ceil(y1) - Math.floor(y0) + 0.5);
      }
    }
    hatchIce(context, f, g, side, sx, sy);
  }
  drawTrenches(context, g, sx, sy);
}

function hatchIce(context, f, g, side, sx, sy) {
  context.save();
  context.strokeStyle = '#ffffff';
  context.lineWidth = 1;
  for (let i = 0; i < soil.columns; i++) {
    const [a, b] = [sx(side * soil.x[i]), sx(side * soil.x[i + 1])];
    const [x0, x1] = [Math.min(a, b), Math.max(a, b)];
    if (x1 < 0 || x0 > g.width) { continue; }
    for (let k = 0; k < soil.rows; k++) {
      const share = iceAt(f, k * soil.columns + i);
      if (share < 0.05) { continue; }
      const [y0, y1] = [sy(soil.z[k]), sy(soil.z[k + 1])];
      const gap = share > 0.8 ? 4 : share > 0.5 ? 6 : share > 0.2 ? 9 : 14;
      context.save();
      context.beginPath();
      context.rect(x0, y0, x1 - x0, y1 - y0);
      context.clip();
      context.beginPath();
      for (let s = Math.floor((x0 + y0) / gap) * gap; s <= x1 + y1 + gap; s += gap) {
        context.moveTo(s - y0, y0);
        context.lineTo(s - y1, y1);
      }
      context.stroke();
      context.restore();
    }
  }
  context.restore();
}

/** Light on dark soil and dark on light: every line is drawn twice. */
function twice(context, draw, width) {
  context.strokeStyle = '#000000';
  context.lineWidth = width + 2;
  draw();
  context.strokeStyle = '#ffffff';
  context.lineWidth = width;
  draw();
}

function drawPipe(context, x, y, radius) {
  context.beginPath();
  context.arc(x, y, radius, 0, 2 * Math.PI);
  context.fillStyle = '#ffffff';
  context.fill();
  context.strokeStyle = '#000000';
  context.lineWidth = 1.2;
  context.stroke();
}

function drawTrenches(context, g, sx, sy) {
  for (const centre of centres.filter((v, t) => field.lengths[t] >= soil.slice_at)) { // the shorter ones end before
    context.setLineDash([]);
    twice(context, () => {
      context.beginPath();
      context.moveTo(sx(centre - field.width / 2), sy(0));
      context.lineTo(sx(centre - field.width / 2), sy(floorDepth));
      context.lineTo(sx(centre + field.width / 2), sy(floorDepth));
      context.lineTo(sx(centre + field.width / 2), sy(0));
      context.stroke();
    }, 1);
    const radius = Math.max(2, pipeSize / 2 * g.scale);
    for (const p of pipes) {
      const middle = centre + p.across;
      if (p.coil) {
        twice(context, () => {
          context.beginPath();
          context.moveTo(sx(middle - p.wide / 2), sy(p.depth - p.high / 2));
          context.lineTo(sx(middle + p.wide / 2), sy(p.depth + p.high / 2));
          context.stroke();
        }, Math.max(2, pipeSize * g.scale));
      }
      for (const e of p.coil ? [-0.5, 0.5] : [0]) { drawPipe(context, sx(middle + e * p.wide), sy(p.depth + e * p.high), radius); }
    }
  }
  for (const side of field.runout ? (soil.half ? [1, -1] : [1]) : []) {
    for (const e of [-0.5, 0.5]) { drawPipe(context, sx(side * (field.runout.at + e * field.runout.apart)), sy(field.runout.depth), 2.5); }
  }
  context.font = '13px system-ui, sans-serif';
  context.fillStyle = g.paper ? '#000000' : css('ink');
  context.textAlign = 'left';
  context.fillText('surface', 2, 16);
  if (run.frost > 0) {
    context.setLineDash([9, 6]);
    twice(context, () => { context.beginPath(); context.moveTo(0, sy(run.frost)); context.lineTo(g.width, sy(run.frost)); context.stroke(); }, 1.6);
    context.setLineDash([]);
    label(context, (g.width < 400 ? 'frost, ' : 'frost depth of undisturbed ground, ') + show('length', run.frost), 6, sy(run.frost) - 6);
  }
  label(context, (pipes[0].high > 0 ? 'middle of the coil at ' : 'pipe at ') + show('length', pipes[0].depth), 6, sy(pipes[0].depth) + 18);
  const metre = unitsNow() === 'us' ? 3.048 : 3;
  context.setLineDash([]);
  const right = g.width - 12;
  twice(context, () => { context.beginPath(); context.moveTo(right - metre * g.scale, g.height - 12); context.lineTo(right, g.height - 12); context.stroke(); }, 3);
  context.textAlign = 'right';
  label(context, unitsNow() === 'us' ? '10 ft' : '3 m', right, g.height - 20);
}

function label(context, text, x, y) {
  context.lineWidth = 3.5;
  context.strokeStyle = '#000000';
  context.lineJoin = 'round';
  context.strokeText(text, x, y);
  context.fillStyle = '#ffffff';
  context.fillText(text, x, y);
}

function sayCut(f) {
  let ice = 0;
  for (let c = 0; c < cells; c++) { ice = Math.max(ice, f.share[c]); }
  const text = 'Year ' + f.year + ', ' + dayText(f.day * 24) + '. Soil beside the pipe ' + show('temperature', degrees(f.levels[coilRow * soil.columns + trenchColumn])) +
    ', under the surface ' + show('temperature', degrees(f.levels[trenchColumn])) + (ice > 0 ? '; some of the soil in view is frozen.' : '; no ice in view.');
  byId('cut-shown').textContent = text;
  byId('cut').setAttribute('aria-label', 'Soil temperature across the trenches. ' + text);
  byId('cut-day').setAttribute('aria-valuetext', dateText(f.day * 24));
}

function drawCut() {
  const canvas = byId('cut');
  const g = cutGeometry();
  const ratio = Math.min(3, window.devicePixelRatio || 1);
  canvas.width = Math.round(g.width * ratio);
  canvas.height = Math.round(g.height * ratio);
  canvas.style.width = g.width + 'px';
  canvas.style.height = g.height + 'px';
  const context = canvas.getContext('2d');
  context.scale(ratio, ratio);
  const f = frame(cut.frames[cut.at]);
  paintCut(context, f, g);
  sayCut(f);
}

function drawCutScale() {
  const place = byId('cut-scale');
  const width = Math.min(560, widthOf(place));
  const high = soil.low + 254 * soil.step;
  const stops = Array.from({ length: 21 }, (v, i) => `<stop offset="${i * 5}%" stop-color="${colourText(i / 20)}"/>`).join('');
  const ticks = niceTicks(toShown('temperature', soil.low), toShown('temperature', high), 7);
  const bar = width - 50;
  const sx = (v) => 10 + (v - toShown('temperature', soil.low)) / (toShown('temperature', high) - toShown('temperature', soil.low)) * bar;
  place.innerHTML = `<svg class="figure" style="max-width:${width}px" viewBox="0 0 ${width} 44" role="img" aria-label="Colours from ${show('temperature', soil.low)}, dark, to ${show('temperature', high)}, pale"><defs><linearGradient id="scale">${stops}</linearGradient></defs>` +
    `<rect x="10" y="4" width="${bar}" height="14" fill="url(#scale)" stroke="var(--muted)"/>` +
    ticks.map((t) => `<line x1="${sx(t.v)}" x2="${sx(t.v)}" y1="18" y2="23" stroke="var(--muted)"/><text x="${sx(t.v)}" y="37" text-anchor="middle" font-size="12">${t.label}</text>`).join('') +
    `<text x="${bar + 18}" y="16" font-size="12" class="muted">${unitOf('temperature')}</text></svg>`;
}

/** For print: four days of the year shown, a quarter apart. */
function drawCutStill() {
  const f = cut.frames;
  const picks = [0, 1, 2, 3].map((q) => f[Math.min(f.length - 1, Math.round(q * f.length / 4))]);
  byId('cut-still').innerHTML = picks.map((index) => {
    const canvas = document.createElement('canvas');
    const depth = soil.z[soil.rows];
    const g = { width: 340, scale: 200 / depth, height: 222, left: 0, paper: true };
    g.left = middleTrench - g.width / g.scale / 2;
    canvas.width = 2 * g.width;
    canvas.height = 2 * g.height;
    const context = canvas.getContext('2d');
    context.scale(2, 2);
    paintCut(context, frame(index), g);
    const text = dateText(soil.frames[index].day * 24);
    return `<span style="display:inline-block;margin:0 3mm 3mm 0"><img alt="Soil temperature, ${text}" style="width:82mm" src="${canvas.toDataURL('image/png')}"><br>${text}</span>`;
  }).join('');
}

function chooseYear(year) {
  cut.year = year;
  cut.frames = soil.frames.map((f, i) => i).filter((i) => soil.frames[i].year === year);
  byId('cut-day').max = cut.frames.length - 1;
  cut.at = Math.min(cut.at, cut.frames.length - 1);
}

function playCut() {
  const button = byId('cut-play');
  if (cut.timer) {
    clearInterval(cut.timer);
    cut.timer = 0;
    button.textContent = 'Play';
    return;
  }
  button.textContent = 'Pause';
  cut.timer = setInterval(() => {
    cut.at = (cut.at + 1) % cut.frames.length;
    byId('cut-day').value = cut.at;
    drawCut();
  }, 220);
}

function drawCutTable() {
  byId('cut-table').innerHTML = table('The ground in the middle of the field, by date',
    ['Date', 'Soil at the pipe, ' + unitOf('temperature'), 'Under the surface, ' + unitOf('temperature'), 'Ice at the pipe, share of its water'],
    soil.frames.map((v, i) => {
      const f = frame(i);
      const c = coilRow * soil.columns + trenchColumn;
      return [dateText(f.day * 24), show('temperature', degrees(f.levels[c]), true), show('temperature', degrees(f.levels[trenchColumn]), true), number(iceAt(f, c), 2)];
    }));
}

function startCut() {
  const years = [...new Set(soil.frames.map((f) => f.year))].sort((a, b) => a - b);
  const worst = run.years.reduce((a, b) => b.coldest[0] !== null && (a.coldest[0] === null || b.coldest[0] < a.coldest[0]) ? b : a, run.years[0]);
  const first = years.includes(worst.year) ? worst.year : years[0];
  byId('cut-year').innerHTML = years.map((y) => `<option value="${y}"${y === first ? ' selected' : ''}>${y}${y === worst.year ? ' (coldest fluid)' : ''}</option>`).join('');
  chooseYear(first);
  const coldestDay = worst.coldest[1] / 24;
  cut.at = cut.frames.reduce((best, index, i) => Math.abs(soil.frames[index].day - coldestDay) < Math.abs(soil.frames[cut.frames[best]].day - coldestDay) ? i : best, 0);
  byId('cut-day').value = cut.at;
  byId('cut-day').addEventListener('input', () => { cut.at = Number(byId('cut-day').value); drawCut(); });
  byId('cut-year').addEventListener('change', () => { chooseYear(Number(byId('cut-year').value)); drawCut(); drawCutStill(); });
  byId('cut-view').addEventListener('change', drawCut);
  byId('cut-play').addEventListener('click', playCut);
  redraws.push(() => {
    drawCut();
    drawCutScale();
    drawCutStill();
    drawCutTable();
    byId('cut-where').textContent = 'Soil across the trenches, ' + show('length', soil.slice_at) + ' along them from the supply end: the slice' +
      (soil.slices > 1 ? ' of ' + soil.slices : '') + ' whose pipe gets coldest.' + (field.runout ? ' The two pipes beside the field are the run-out.' : '');
  });
}

// ---- depth by month --------------------------------------------------------------------------

/** For each month of the first year shown the frame nearest its middle. */
function monthFrames() {
  const year = soil.frames.length ? soil.frames[0].year : 1;
  const found = [];
  for (let n = 0; n < 12; n++) {
    const day = (year - 1) * 365 + (n + 0.5) * 365 / 12;
    let best = -1;
    soil.frames.forEach((f, i) => {
      if (f.year === year && (best < 0 || Math.abs(f.day - day) < Math.abs(soil.frames[best].day - day))) { best = i; }
    });
    if (best >= 0 && Math.abs(soil.frames[best].day - day) <= 20 && !found.includes(best)) { found.push(best); }
  }
  return found;
}

const shortDay = (hour) => moment(hour).day + ' ' + monthNames[moment(hour).month].slice(0, 3);

function drawDepth() {
  const place = byId('depth-chart');
  const width = widthOf(place);
  const across = width > 900 ? 6 : width > 560 ? 4 : 3;
  const found = monthFrames();
  const rows = Math.ceil(found.length / across);
  const each = width / across;
  const height = 200;
  const depth = toShown('length', middleDepth(soil.rows - 1));
  const column = (f) => Array.from({ length: soil.rows }, (v, k) => degrees(f.levels[k * soil.columns + trenchColumn]));
  const range = reach([soil.run_lowest, soil.run_highest, ...found.map((i) => column(frame(i)))], 'temperature');
  const points = (values) => values.map((v, k) => [toShown('temperature', v), -toShown('length', middleDepth(k))]);
  const ticks = niceTicks(range[0], range[1], 3);
  const depths = niceTicks(0, depth, 4).map((t) => ({ v: -t.v, label: t.label }));
  let body = '';
  found.forEach((index, n) => {
    const f = frame(index);
    const left = (n % across) * each + 34;
    const top = Math.floor(n / across) * (height + 62) + 28;
    body += panel({ box: { left, top, width: each - 46, height }, x: range, y: [-depth, 0], xTicks: ticks, yTicks: depths,
      title: each < 130 ? shortDay(f.day * 24) : dayText(f.day * 24),
      under: (sx, sy) => {
        const low = points(soil.lowest);
        const high = points(soil.highest).reverse();
        return `<path d="${path(low.concat(high).map(([x, y]) => [sx(x), sy(y)]))}Z" fill="var(--band)"/>` +
          `<line x1="${left}" x2="${left + each - 46}" y1="${sy(-toShown('length', pipes[0].depth))}" y2="${sy(-toShown('length', pipes[0].depth))}" stroke="var(--ink)" stroke-dasharray="1.5 3"/>`;
      },
      lines: [{ points: points(soil.undisturbed[index] || []), colour: 'leaving', dash: '5 3', width: 1.6 },
        { points: points(column(f)), colour: 'entering', width: 2.4 }] });
  });
  byId('depth-year').textContent = 'year ' + (soil.frames.length ? soil.frames[0].year : 1);
  byId('depth-units').textContent = `Depth in ${unitOf('length')} downwards, temperature in ${unitOf('temperature')} across.`;
  place.innerHTML = svg(width, rows * (height + 62), 'Temperature against depth in each month; the numbers stand in the table below', body);
  byId('depth-table').innerHTML = table('Under the middle of a trench (and far from the loop), ' + unitOf('temperature'),
    ['Depth, ' + unitOf('length'), ...found.map((i) => dayText(soil.frames[i].day * 24))],
    Array.from({ length: soil.rows }, (v, k) => [show('length', middleDepth(k), true),
      ...found.map((i) => show('temperature', degrees(frame(i).levels[k * soil.columns + trenchColumn]), true) +
        (soil.undisturbed[i] && soil.undisturbed[i].length ? ' (' + show('temperature', soil.undisturbed[i][k], true) + ')' : ''))]));
}

// ---- ice over the years ----------------------------------------------------------------------

const daily = {
  ice: valuesOf(soil.daily.ice, soil.daily.ice_step),
  coil: valuesOf(soil.daily.coil, soil.daily.coil_step),
};

function drawIce() {
  const place = byId('ice-chart');
  const width = widthOf(place);
  const days = daily.ice.length * soil.daily.every;
  const ticks = timeTicks(0, days * 24 - 1, width < 560 ? 4 : 8);
  const line = (values, kind) => Array.from(values, (v, i) => [i * soil.daily.every * 24, toShown(kind, v)]);
  const most = Math.max(...daily.ice);
  const wide = width - 52 - 16;
  const body = panel({ box: { left: 52, top: 26, width: wide, height: 130 }, x: [0, days * 24], y: [0, Math.max(toShown('small', most), toShown('small', 0.1)) * 1.1], xTicks: ticks, xLabels: false,
    title: 'Ice radius, ' + unitOf('small'), over: () => most > 0 ? '' : `<text x="${52 + wide / 2}" y="100" text-anchor="middle" font-size="13">no soil at the pipe is half frozen</text>`, lines: [{ points: line(daily.ice, 'small'), colour: 'coldest', width: 2 }] }) +
    panel({ box: { left: 52, top: 200, width: wide, height: 150 }, x: [0, days * 24], y: reach([daily.coil], 'temperature', [-1.5]), xTicks: ticks,
      title: 'Soil where the pipe lies, ' + unitOf('temperature'), rules: [{ y: toShown('temperature', 0), label: 'water freezes', dash: '2 3', below: true }],
      lines: [{ points: line(daily.coil, 'temperature'), colour: 'entering', width: 1.5 }] });
  place.innerHTML = svg(width, 376, 'Ice radius and soil temperature at the pipe over the run; extremes of each year stand in the table below', body);
  byId('ice-table').innerHTML = table('Ice and soil at the pipe by year',
    ['Year', 'Largest ice radius, ' + unitOf('small'), 'Days with ice', 'Coldest soil at the pipe, ' + unitOf('temperature'), 'Warmest soil at the pipe, ' + unitOf('temperature')],
    run.years.map((y) => {
      const a = Math.ceil((y.year - 1) * 365 / soil.daily.every);
      const b = Math.ceil(y.year * 365 / soil.daily.every);
      const ice = daily.ice.slice(a, b);
      const coil = daily.coil.slice(a, b);
      return [String(y.year), show('small', Math.max(0, ...ice), true), String(ice.filter((v) => v > 0).length * soil.daily.every),
        show('temperature', coil.length ? Math.min(...coil) : NaN, true), show('temperature', coil.length ? Math.max(...coil) : NaN, true)];
    }));
}

// ---- the layout ------------------------------------------------------------------------------

/** A dimension line from (x0, y0) to (x1, y1), level or upright, with its text. */
function dimension(x0, y0, x1, y1, text) {
  const level = Math.abs(y1 - y0) < 0.01;
  const tick = level ? [[x0, y0 - 5, x0, y0 + 5], [x1, y1 - 5, x1, y1 + 5]] : [[x0 - 5, y0, x0 + 5, y0], [x1 - 5, y1, x1 + 5, y1]];
  const [mx, my] = [(x0 + x1) / 2, (y0 + y1) / 2];
  return `<path d="M${x0} ${y0}L${x1} ${y1}${tick.map((t) => `M${t[0]} ${t[1]}L${t[2]} ${t[3]}`).join('')}" stroke="var(--ink)" fill="none"/>` +
    (level ? `<text x="${mx}" y="${my - 7}" text-anchor="middle" font-size="13">${escape(text)}</text>`
      : `<text x="${mx + 8}" y="${my + 4}" font-size="13">${escape(text)}</text>`);
}

/** A coil's curve in its own plane, from x = 0 to length. */
function coilPath(coil, length, sx, sy, centre) {
  const radius = coil.diameter / 2;
  const turns = Math.max(1, (length - coil.diameter) / coil.pitch);
  const steps = Math.max(40, Math.ceil(turns * 28));
  const curve = [];
  for (let i = 0; i <= steps; i++) {
    const t = 2 * Math.PI * turns * i / steps;
    curve.push([sx(radius + coil.pitch * t / (2 * Math.PI) - radius * Math.cos(t)), sy(centre + radius * Math.sin(t))]);
  }
  return path(curve);
}

function drawPlan() {
  const place = byId('plan');
  const width = widthOf(place);
  const span = (field.trenches - 1) * field.spacing + field.width;
  const room = Math.max(1.5, 0.05 * longest);
  const left = 20;
  const total = field.trenches > 2 && width > 560;
  const beside = through ? 30 : 14;
  const right = (total ? 136 : 64) + beside;
  const scale = (width - left - right) / (longest + room);
  const top = 52;
  const height = span * scale;
  const sx = (x) => left + (x + room) * scale;
  const sy = (y) => top + (y + span / 2) * scale;
  let body = '';
  centres.forEach((centre, t) => {
    const length = field.lengths[t];
    body += `<rect x="${sx(0)}" y="${sy(centre - field.width / 2)}" width="${length * scale}" height="${Math.max(2, field.width * scale)}" fill="var(--soil)" stroke="var(--muted)"/>`;
    for (const p of pipes) {
      if (p.wide > 0) {
        body += `<path d="${coilPath(p, length, sx, sy, centre + p.across)}" fill="none" stroke="var(--entering)" stroke-width="${Math.max(0.8, pipeSize * scale)}"/>`;
      } else if (p === pipes[0] || p.across !== 0 || !firstCoil) {
        body += `<line x1="${sx(0)}" x2="${sx(length)}" y1="${sy(centre + p.across)}" y2="${sy(centre + p.across)}" stroke="var(--entering)" stroke-width="${Math.max(0.8, pipeSize * scale)}"/>`;
      }
    }
  });
  const h1 = sx(-room * 0.35);
  const h2 = through ? sx(longest) + 14 : sx(-room * 0.7);
  body += `<path d="M${h1} ${sy(centres[0])}V${sy(centres[centres.length - 1])}" stroke="var(--ink)" stroke-width="2.5"/><path d="M${h2} ${sy(centres[0])}V${sy(centres[centres.length - 1])}" stroke="var(--ink)" stroke-width="2.5" stroke-dasharray="6 3"/>`;
  centres.forEach((centre, t) => {
    const off = Math.min(field.width / 4 * scale, 8);
    body += `<path d="M${h1} ${sy(centre) - off}H${sx(0)}" stroke="var(--ink)" stroke-width="1.2"/><path d="M${h2} ${sy(centre) + off}H${sx(through ? field.lengths[t] : 0)}" stroke="var(--ink)" stroke-width="1.2" stroke-dasharray="4 2"/>`;
  });
  body += dimension(sx(0), top - 16, sx(longest), top - 16, (field.lengths.some((l) => l !== longest) ? 'longest trench ' : 'trench ') + show('length', longest));
  if (field.trenches > 1) {
    body += dimension(width - right + beside, sy(centres[0]), width - right + beside, sy(centres[1]), show('length', field.spacing));
    if (total) { body += dimension(width - 66, sy(-span / 2), width - 66, sy(span / 2), show('length', span)); }
  }
  body += `<line x1="${left}" x2="${left + 24}" y1="${top + height + 26}" y2="${top + height + 26}" stroke="var(--ink)" stroke-width="2.5"/><text x="${left + 30}" y="${top + height + 30}" font-size="12">supply header</text>` +
    `<line x1="${left + 130}" x2="${left + 154}" y1="${top + height + 26}" y2="${top + height + 26}" stroke="var(--ink)" stroke-width="2.5" stroke-dasharray="6 3"/><text x="${left + 160}" y="${top + height + 30}" font-size="12">return header</text>`;
  place.innerHTML = svg(width, top + height + 44, `Plan of ${field.trenches} trenches; the dimensions stand in the table below`, body);
}

function drawSection() {
  byId('section-caption').textContent = firstCoil ? 'Section across a trench, and the coil in it over a few turns, to one scale.' : 'Section across a trench, to scale.';
  const place = byId('section');
  const width = widthOf(place);
  const small = width < 560;
  const long = firstCoil ? Math.min(longest, firstCoil.diameter + 4 * firstCoil.pitch) : 0;
  const needed = field.width + 2 + (small ? 0 : long + 1.2);
  const scale = Math.min((width - 150) / needed, 420 / (floorDepth + 0.4), 180);
  const top = 30;
  const left = 78;
  const sx = (x) => left + (x + field.width / 2 + 0.2) * scale;
  const sy = (z) => top + z * scale;
  const bottom = floorDepth + 0.3;
  const wide = field.width + 0.4 + (field.trenches > 1 ? 0.3 : 0);
  let body = `<rect x="${left}" y="${top}" width="${wide * scale}" height="${bottom * scale}" fill="var(--soil)"/>` +
    `<rect x="${sx(-field.width / 2)}" y="${top}" width="${field.width * scale}" height="${floorDepth * scale}" fill="var(--panel)" stroke="var(--ink)" stroke-dasharray="5 3"/>` +
    `<line x1="${left - 8}" x2="${left + wide * scale + 8}" y1="${top}" y2="${top}" stroke="var(--ink)" stroke-width="2.5"/><text x="${left}" y="${top - 9}" font-size="13">surface</text>`;
  const radius = Math.max(2.5, pipeSize / 2 * scale);
  for (const p of pipes) {
    if (p.coil) {
      body += `<line x1="${sx(p.across - p.wide / 2)}" x2="${sx(p.across + p.wide / 2)}" y1="${sy(p.depth - p.high / 2)}" y2="${sy(p.depth + p.high / 2)}" stroke="var(--entering)" stroke-width="${2 * radius}" stroke-linecap="round"/>`;
    } else {
      body += `<circle cx="${sx(p.across)}" cy="${sy(p.depth)}" r="${radius}" fill="var(--panel)" stroke="var(--entering)" stroke-width="2"/>`;
    }
  }
  if (run.frost > 0 && run.frost < bottom) {
    body += `<line x1="${left}" x2="${left + wide * scale}" y1="${sy(run.frost)}" y2="${sy(run.frost)}" stroke="var(--broken)" stroke-dasharray="9 5" stroke-width="1.6"/><text x="${left + 6}" y="${sy(run.frost) - 5}" font-size="12" class="halo">frost, ${show('length', run.frost)}</text>`;
  }
  body += `<path d="M${left - 20} ${top}V${sy(pipes[0].depth)}M${left - 25} ${top}h10M${left - 25} ${sy(pipes[0].depth)}h10" stroke="var(--ink)" fill="none"/><text x="${left - 27}" y="${(top + sy(pipes[0].depth)) / 2}" font-size="13" text-anchor="end">${show('length', pipes[0].depth)}</text>` +
    dimension(sx(-field.width / 2), sy(bottom) + 26, sx(field.width / 2), sy(bottom) + 26, 'trench ' + show('length', field.width));
  let height = top + bottom * scale + 46;
  if (firstCoil) {
    const coil = firstCoil;
    const x0 = small ? left : left + wide * scale + 0.8 * scale;
    const y0 = small ? height + 44 : top + 34;
    const draw = (x) => x0 + x * scale;
    const across = (y) => y0 + (y + coil.diameter / 2) * scale;
    const shownLength = Math.min(long, (width - x0 - 90) / scale);
    body += `<text x="${x0}" y="${y0 - 40}" font-size="13" font-weight="600">The coil from ${coil.upright ? 'the side' : 'above'}</text>` +
      `<path d="${coilPath(coil, shownLength, draw, across, 0)}" fill="none" stroke="var(--entering)" stroke-width="${Math.max(2, pipeSize * scale)}"/>` +
      dimension(draw(0), y0 - 10, draw(Math.min(coil.pitch, shownLength)), y0 - 10, 'pitch ' + show('small', coil.pitch)) +
      dimension(draw(shownLength) + 18, across(-coil.diameter / 2), draw(shownLength) + 18, across(coil.diameter / 2), show('small', coil.diameter));
    height = Math.max(height, across(coil.diameter / 2) + 30);
  }
  place.innerHTML = svg(width, height, 'Section of a trench; the dimensions stand in the table below', body);
}

function drawLayoutTable() {
  const lengths = [...new Set(field.lengths.map((l) => show('length', l)))];
  const rows = [['Trenches', String(field.trenches)], [lengths.length > 1 ? 'Lengths, in order' : 'Length of each', (lengths.length > 1 ? field.lengths.map((l) => show('length', l)) : lengths).join(', ')],
    ['Width', show('length', field.width)], ['Floor, under the deepest pipe', show('length', floorDepth)]];
  if (field.trenches > 1) { rows.push(['Centre to centre', show('length', field.spacing)]); }
  const circuits = Math.max(...pipes.map((p) => p.circuit));
  pipes.forEach((p) => {
    const what = (circuits > 1 ? 'Circuit ' + p.circuit + ', ' : '') + (p.coil ? (p.upright ? 'upright coil' : 'flat coil') : 'straight pipe') + (p.outward ? '' : ', coming back');
    rows.push([what[0].toUpperCase() + what.slice(1), show('length', p.depth) + ' deep, ' + show('small', p.across) + ' from the middle' +
      (p.coil ? '; diameter ' + show('small', p.diameter) + ', pitch ' + show('small', p.pitch) : '')]);
  });
  rows.push(['Pipe', field.pipe_name + ', SDR ' + field.sdr + (field.pipe ? ', outside ' + show('small', field.pipe) : '')]);
  if (field.pipe_length) {
    rows.push(['Circuits', String(field.circuits)], ['Pipe of all circuits', show('length', field.pipe_length)], ['Pipe of the longest circuit', show('length', field.longest_circuit)]);
  }
  if (field.runout) { rows.push(['Run-out: trench, depth, pipes apart', show('length', field.runout.length) + ', ' + show('length', field.runout.depth) + ', ' + show('small', field.runout.apart)]); }
  rows.push(['Frost depth, undisturbed ground, this run', show('length', run.frost)]);
  byId('layout-table').innerHTML = table('Dimensions', ['What', 'Size'], rows);
}

starts.push(() => {
  startCut();
  redraws.push(drawDepth, drawIce, drawPlan, drawSection, drawLayoutTable);
});
