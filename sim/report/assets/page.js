// Data, units, time and drawing: what all figures share.
'use strict';
const data = JSON.parse(document.getElementById('data').textContent);
const root = document.documentElement;
const byId = (id) => document.getElementById(id);
const starts = []; // called once, when all scripts are read
const redraws = []; // called when units, colours or the width change

// ---- units -----------------------------------------------------------------------------------

const kinds = {
  temperature: { us: ['°F', (v) => v * 1.8 + 32, 1], si: ['°C', (v) => v, 1] },
  difference: { us: ['°F', (v) => v * 1.8, 2], si: ['K', (v) => v, 2] },
  length: { us: ['ft', (v) => v / 0.3048, 1], si: ['m', (v) => v, 2] },
  small: { us: ['in', (v) => v / 0.0254, 1], si: ['cm', (v) => v * 100, 1] },
  heat: { us: ['kBTU/h', (v) => v / 293.07107, 1], si: ['kW', (v) => v / 1000, 1] },
  energy: { us: ['kWh', (v) => v / 3.6e6, 0], si: ['kWh', (v) => v / 3.6e6, 0] },
  flow: { us: ['lb/min', (v) => v / 0.45359237 * 60, 1], si: ['kg/s', (v) => v, 3] },
  number: { us: ['', (v) => v, 0], si: ['', (v) => v, 0] },
};
const unitsNow = () => root.dataset.units;
const unitOf = (kind) => kinds[kind][unitsNow()][0];
const toShown = (kind, value) => kinds[kind][unitsNow()][1](value);

function number(value, digits) {
  const text = value.toFixed(digits);
  return (Number(text) === 0 ? (0).toFixed(digits) : text).replace('-', '−');
}

function show(kind, value, bare) {
  if (value === null || !isFinite(value)) { return '–'; }
  const text = number(toShown(kind, value), kinds[kind][unitsNow()][2]);
  return bare || !unitOf(kind) ? text : text + ' ' + unitOf(kind);
}

// ---- time: years of 365 days from the run's first day -----------------------------------------

const monthNames = ['January', 'February', 'March', 'April', 'May', 'June', 'July', 'August',
  'September', 'October', 'November', 'December'];
const monthDays = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];
const startOfYear = monthDays.slice(0, (data.start_month || 1) - 1).reduce((a, b) => a + b, 0) + (data.start_day || 1) - 1;

function moment(hour) {
  const day = Math.floor(hour / 24);
  let left = (startOfYear + day) % 365;
  let month = 0;
  while (left >= monthDays[month]) { left -= monthDays[month++]; }
  return { year: Math.floor(day / 365) + 1, month, day: left + 1, hour: Math.round(hour - day * 24) };
}

const dayText = (hour) => { const m = moment(hour); return m.day + ' ' + monthNames[m.month]; };
const dateText = (hour) => 'year ' + moment(hour).year + ', ' + dayText(hour);
const hourText = (hour) => dateText(hour) + ', ' + String(moment(hour).hour).padStart(2, '0') + ':00';

/** Marks for an axis of time, as many as there is room for: years, months, days or hours. */
function timeTicks(from, to, most) {
  const ticks = [];
  const span = (to - from) / most;
  if (span <= 24) {
    const step = [1, 3, 6, 12, 24].find((s) => s >= span) || 24;
    for (let h = Math.ceil(from / step) * step; h <= to; h += step) {
      const m = moment(h);
      ticks.push({ v: h, label: h % 24 === 0 ? m.day + ' ' + monthNames[m.month].slice(0, 3) : m.hour + ':00' });
    }
    return ticks;
  }
  if (span <= 15 * 24) {
    const step = 24 * ([2, 3, 5, 7, 14].find((s) => s * 24 >= span) || 15);
    for (let h = Math.ceil(from / step) * step; h <= to; h += step) {
      ticks.push({ v: h, label: moment(h).day + ' ' + monthNames[moment(h).month].slice(0, 3) });
    }
    return ticks;
  }
  const months = [1, 2, 3, 6, 12].find((n) => n * 730 >= span);
  if (months && months < 12) {
    for (let d = Math.ceil(from / 24); d * 24 <= to; d++) {
      const m = moment(d * 24);
      if (m.day === 1 && m.month % months === 0) {
        ticks.push({ v: d * 24, label: monthNames[m.month].slice(0, 3) + ' y' + m.year });
      }
    }
    return ticks;
  }
  const years = Math.ceil(span / 8760);
  for (let y = Math.ceil(from / 8760); y * 8760 <= to; y += years) {
    ticks.push({ v: y * 8760, label: 'year ' + (y + 1) });
  }
  return ticks;
}

// ---- arrays ----------------------------------------------------------------------------------

function bytesOf(text) {
  const raw = atob(text);
  const bytes = new Uint8Array(raw.length);
  for (let i = 0; i < raw.length; i++) { bytes[i] = raw.charCodeAt(i); }
  return bytes;
}

/** 16-bit steps, low byte first; NaN for what is missing. */
function valuesOf(text, step) {
  const bytes = bytesOf(text);
  const view = new DataView(bytes.buffer);
  const values = new Float64Array(bytes.length / 2);
  for (let i = 0; i < values.length; i++) {
    const whole = view.getInt16(2 * i, true);
    values[i] = whole === -32768 ? NaN : whole * step;
  }
  return values;
}

// ---- drawing ---------------------------------------------------------------------------------

const css = (name) => getComputedStyle(root).getPropertyValue('--' + name).trim();
const escapes = { '&': '&amp;', '<': '&lt;', '>': '&gt;', '"': '&quot;', "'": '&#39;' };
const escape = (text) => String(text).replace(/[&<>"']/g, (c) => escapes[c]);

/** Round steps for an axis of numbers. */
function niceTicks(from, to, most) {
  const raw = (to - from) / most;
  const power = Math.pow(10, Math.floor(Math.log10(raw)));
  const step = [1, 2, 5, 10].map((n) => n * power).find((s) => s >= raw * 0.999);
  const digits = Math.max(0, -Math.floor(Math.log10(step) + 1e-9));
  const ticks = [];
  for (let n = Math.ceil(from / step - 1e-9); n * step <= to + step * 1e-9; n++) {
    ticks.push({ v: n * step, label: number(n * step, digits) });
  }
  return ticks;
}

/** A path through points; a NaN lifts the pen. */
function path(points) {
  let text = '';
  let pen = false;
  for (const [x, y] of points) {
    if (isFinite(y)) { text += (pen ? 'L' : 'M') + x.toFixed(1) + ' ' + y.toFixed(1); }
    pen = isFinite(y);
  }
  return text;
}

/**
 * One panel of a chart as SVG. box: {left, top, width, height}; x, y: [from, to] in shown units;
 * xTicks, yTicks; lines: {points, colour, dash, width, label}; rules: horizontal {y, label, dash};
 * under, over: functions (sx, sy) => SVG text.
 */
function panel(p) {
  const { left, top, width, height } = p.box;
  const sx = (x) => left + (x - p.x[0]) / (p.x[1] - p.x[0]) * width;
  const sy = (y) => top + height - (y - p.y[0]) / (p.y[1] - p.y[0]) * height;
  let out = '';
  for (const t of p.yTicks || niceTicks(p.y[0], p.y[1], Math.max(2, height / 44))) {
    out += `<line x1="${left}" x2="${left + width}" y1="${sy(t.v)}" y2="${sy(t.v)}" stroke="var(--grid)"/>` +
      `<text x="${left - 6}" y="${sy(t.v) + 4}" text-anchor="end" font-size="12" class="muted">${t.label}</text>`;
  }
  for (const t of p.xTicks || []) {
    out += `<line x1="${sx(t.v)}" x2="${sx(t.v)}" y1="${top}" y2="${top + height}" stroke="var(--grid)"/>`;
    if (p.xLabels !== false) {
      out += `<text x="${sx(t.v)}" y="${top + height + 17}" text-anchor="middle" font-size="12" class="muted">${escape(t.label)}</text>`;
    }
  }
  out += p.under ? p.under(sx, sy) : '';
  out += `<path d="M${left} ${top}V${top + height}H${left + width}" fill="none" stroke="var(--muted)"/>`;
  for (const r of p.rules || []) {
    if (r.y < p.y[0] || r.y > p.y[1]) { continue; }
    out += `<line x1="${left}" x2="${left + width}" y1="${sy(r.y)}" y2="${sy(r.y)}" stroke="var(--broken)" stroke-width="1.3" stroke-dasharray="${r.dash || '7 4'}"/>` +
      `<text x="${left + width - 4}" y="${sy(r.y) + (r.below ? 14 : -5)}" text-anchor="end" font-size="12" class="halo">${escape(r.label)}</text>`;
  }
  for (const l of p.lines || []) {
    out += `<path d="${path(l.points.map(([x, y]) => [sx(x), sy(y)]))}" fill="none" stroke="var(--${l.colour})" stroke-width="${l.width || 1.8}" stroke-linejoin="round" stroke-dasharray="${l.dash || ''}"/>`;
  }
  out += p.over ? p.over(sx, sy) : '';
  if (p.title) {
    out += `<text x="${left}" y="${top - 8}" font-size="13" font-weight="600">${escape(p.title)}</text>`;
  }
  return out;
}

/** A legend line above a panel: a sample of each line with its name, from the right. */
function keys(lines, x, y) {
  let out = '';
  for (const l of lines.slice().reverse()) {
    const width = 40 + l.label.length * 6.9;
    x -= width;
    out += `<line x1="${x}" x2="${x + 26}" y1="${y - 4}" y2="${y - 4}" stroke="var(--${l.colour})" stroke-width="2.2" stroke-dasharray="${l.dash || ''}"/>` +
      `<text x="${x + 31}" y="${y}" font-size="12">${escape(l.label)}</text>`;
  }
  return out;
}

const svg = (width, height, label, body) =>
  `<svg class="figure" viewBox="0 0 ${width} ${height}" role="img" aria-label="${escape(label)}">${body}</svg>`;

/** Width in which a figure is drawn: that of its place, not below what its labels need. */
const widthOf = (element) => root.dataset.printing ? 860 : Math.max(320, Math.min(1180, element.parentElement.clientWidth - 26 || 700));

/** head: names; rows: arrays of texts, the first naming the row. */
function table(caption, head, rows) {
  const cells = rows.map((r) => '<tr>' + r.map((c, i) => i === 0 ? `<th scope="row">${escape(c)}</th>`
    : `<td class="n">${escape(c)}</td>`).join('') + '</tr>').join('');
  return `<div class="scroll" tabindex="0" role="region" aria-label="${escape(caption)}"><table><caption>${escape(caption)}</caption>` +
    `<thead><tr>${head.map((h) => `<th scope="col">${escape(h)}</th>`).join('')}</tr></thead><tbody>${cells}</tbody></table></div>`;
}

// ---- temperature colours ---------------------------------------------------------------------

// Lightness rises evenly from cold to warm, so the order survives print and colour blindness; the
// hue turns evenly from blue over green to straw, at the greatest chroma that screens show all
// along. Mixed in OKLab, whose distances are about those the eye sees: equal steps look equal.
function colourAt(share) {
  const t = Math.min(1, Math.max(0, share));
  const lightness = 0.25 + 0.69 * t;
  const hue = (275 - 180 * t) * Math.PI / 180;
  const chroma = 0.083;
  const a = chroma * Math.cos(hue);
  const b = chroma * Math.sin(hue);
  const l = Math.pow(lightness + 0.3963377774 * a + 0.2158037573 * b, 3);
  const m = Math.pow(lightness - 0.1055613458 * a - 0.0638541728 * b, 3);
  const s = Math.pow(lightness - 0.0894841775 * a - 1.2914855480 * b, 3);
  const linear = [4.0767416621 * l - 3.3077115913 * m + 0.2309699292 * s,
    -1.2684380046 * l + 2.6097574011 * m - 0.3413193965 * s,
    -0.0041960863 * l - 0.7034186147 * m + 1.7076147010 * s];
  return linear.map((v) => {
    const c = Math.min(1, Math.max(0, v));
    return Math.round(255 * (c <= 0.0031308 ? 12.92 * c : 1.055 * Math.pow(c, 1 / 2.4) - 0.055));
  });
}
const colourText = (share) => 'rgb(' + colourAt(share).join(',') + ')';

// A fill for figures that must be told apart without colour.
const pattern = (id, width, height, mark, turned = '') =>
  `<pattern id="${id}" width="${width}" height="${height}" patternUnits="userSpaceOnUse"${turned && ` patternTransform="${turned}"`}><rect width="${width}" height="${height}" fill="var(--panel)"/>${mark}</pattern>`;
const stripe = (colour) => `<line x1="0" y1="0" x2="0" y2="6" stroke="var(${colour})" stroke-width="4"/>`;
const cross = (colour, width) => `<path d="M0 0L7 7M7 0L0 7" stroke="var(${colour})" stroke-width="${width}"/>`;
