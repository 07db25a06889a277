"use strict";
// The site sheet: columns of the plan on a canvas, coloured and shaped by state. It compares and judges nothing: every
// state and every number was found before. Texts go into the page as text (textContent), never as markup.

const DATA = JSON.parse(document.getElementById("data").textContent);
const PLAN = DATA.plan;
const RECORDS = DATA.records;
const MM = 1000;
const [OPEN, CONFORMS, UNJUDGED, FAILS, MISSING, UNKNOWN, PLANNED] = [0, 1, 2, 3, 4, 5, 6]; // places in DATA.words
const STYLES = ["open", "conforms", "unjudged", "fails", "missing", "unknown", "planned"];
const DRAWN = [PLANNED, OPEN, UNJUDGED, CONFORMS, MISSING, UNKNOWN, FAILS]; // what comes later lies on top
const LOUD = [FAILS, MISSING, UNKNOWN]; // never smaller than can be seen
const INK = "#1c1c1c", QUIET = "#8b8982", FAINT = "#cfccc3", ACCENT = "#0f5560", FILLED = "#7fb0b5", ALARM = "#7a1f1f";
const LEAST = 1.1, LEAST_LOUD = 3.5, ROUND = 2.2, NAMED = 11; // radii in px: of a point, of a sign, from which circles are round and have ids

const MOST_SIGNS = 3000;

const byId = (id) => document.getElementById(id);
const ids = [...PLAN.ids, ...(RECORDS?.strays ?? [])];
const count = ids.length;
const lower = ids.map((id) => id.toLowerCase());
const state = Uint8Array.from(DATA.state, Number);
const east = new Float64Array(count);
const north = new Float64Array(count);
const radius = new Float32Array(count);
const area = ids.map((_, k) => (k < PLAN.ids.length ? PLAN.kinds[PLAN.kind[k]][0] : ""));
const recordOf = new Int32Array(count).fill(-1);
const fields = new Map((RECORDS?.recorded.fields ?? []).map((one) => [one.key, one]));
const findingsOf = new Map(); // place of a column: its non-conformities
const order = [...ids.keys()].sort((a, b) => (lower[a] < lower[b] ? -1 : 1));
const rank = new Int32Array(count);
const shownNow = new Uint8Array(count).fill(1);
let taken = -1;

for (let k = 0; k < count; k += 1) rank[order[k]] = k;
RECORDS?.recorded.of.forEach((k, place) => { recordOf[k] = place; });
RECORDS?.findings.forEach((one) => {
  if (one[0] < 0) return;
  if (!findingsOf.has(one[0])) findingsOf.set(one[0], []);
  findingsOf.get(one[0]).push(one);
});

// A number of a record, NaN where it has none.
function recorded(k, key) {
  const field = fields.get(key);
  const value = field && recordOf[k] >= 0 ? field.values[recordOf[k]] : null;
  return value === null ? NaN : value / 10 ** field.decimals;
}

for (let k = 0; k < count; k += 1) {
  const planned = k < PLAN.ids.length;
  east[k] = planned ? PLAN.e[k] / MM : recorded(k, "easting") - PLAN.origin[0];
  north[k] = planned ? PLAN.n[k] / MM : recorded(k, "northing") - PLAN.origin[1];
  radius[k] = planned ? PLAN.kinds[PLAN.kind[k]][4] / 2 : 0.4;
}

// ---- View: the middle of the canvas in m, and px for a metre ------------------------------------------------------------

const canvas = byId("map");
const pen = canvas.getContext("2d");
const view = { e: 0, n: 0, scale: 1, wide: 0, high: 0 };
let waiting = false;

function whole() {
  let [w, e, s, n] = [Infinity, -Infinity, Infinity, -Infinity];
  for (let k = 0; k < PLAN.ids.length; k += 1) {
    w = Math.min(w, east[k]); e = Math.max(e, east[k]);
    s = Math.min(s, north[k]); n = Math.max(n, north[k]);
  }
  view.e = (w + e) / 2;
  view.n = (s + n) / 2;
  view.scale = Math.min((view.wide - 40) / Math.max(e - w, 1), (view.high - 60) / Math.max(n - s, 1));
  redraw();
}

function zoom(factor, x = view.wide / 2, y = view.high / 2) {
  const scale = Math.min(Math.max(view.scale * factor, 0.01), 400);
  view.e += (x - view.wide / 2) * (1 / view.scale - 1 / scale);
  view.n -= (y - view.high / 2) * (1 / view.scale - 1 / scale);
  view.scale = scale;
  redraw();
}

function pan(x, y) {
  view.e -= x / view.scale;
  view.n += y / view.scale;
  redraw();
}

function lookAt(k) {
  if (Number.isNaN(east[k])) return redraw();
  view.e = east[k];
  view.n = north[k];
  view.scale = Math.max(view.scale, 14);
  return redraw();
}

function redraw() {
  if (waiting) return;
  waiting = true;
  requestAnimationFrame(() => { waiting = false; draw(); });
}

function fit() {
  const [first, fine] = [view.wide === 0, window.devicePixelRatio || 1];
  const wide = canvas.clientWidth, high = canvas.clientHeight;
  if (wide === 0 || high === 0) return;
  paper(wide, high, fine);
  if (first) whole();
}

// What is drawn on: its size, and points for a px of it.
function paper(wide, high, fine) {
  [view.wide, view.high] = [wide, high];
  [canvas.width, canvas.height] = [Math.round(wide * fine), Math.round(high * fine)];
  pen.setTransform(fine, 0, 0, fine, 0, 0);
}

const onX = (e) => view.wide / 2 + (e - view.e) * view.scale;
const onY = (n) => view.high / 2 - (n - view.n) * view.scale;

// ---- Drawing ------------------------------------------------------------------------------------------------------------

// The sign of a state: one path for all columns of it, so that many are quick.
function sign(ink, which, x, y, r) {
  switch (which) {
    case FAILS: ink.moveTo(x, y - 1.35 * r); ink.lineTo(x + 1.35 * r, y); ink.lineTo(x, y + 1.35 * r); ink.lineTo(x - 1.35 * r, y); ink.closePath(); break;
    case UNKNOWN: ink.moveTo(x, y - 1.3 * r); ink.lineTo(x + 1.2 * r, y + 0.9 * r); ink.lineTo(x - 1.2 * r, y + 0.9 * r); ink.closePath(); break;
    default: ink.moveTo(x + r, y); ink.arc(x, y, r, 0, 2 * Math.PI);
  }
  if (which === MISSING) { ink.moveTo(x - r, y - r); ink.lineTo(x + r, y + r); ink.moveTo(x - r, y + r); ink.lineTo(x + r, y - r); }
  if (which === UNJUDGED) { ink.moveTo(x - r, y); ink.lineTo(x + r, y); }
}

const FILLS = ["#ffffff", FILLED, "#ffffff", ALARM, "#ffffff", "#ffffff", "#ffffff"];
const POINTS = [FAINT, ACCENT, QUIET, ALARM, INK, INK, QUIET];
const STROKES = [QUIET, ACCENT, ACCENT, ALARM, INK, INK, ACCENT];

function signs(which, all, least) {
  pen.beginPath();
  for (const k of all) sign(pen, which, onX(east[k]), onY(north[k]), Math.max(radius[k] * view.scale, least));
  pen.fillStyle = FILLS[which];
  pen.strokeStyle = STROKES[which];
  pen.lineWidth = which === MISSING || which === UNKNOWN ? 1.8 : which === OPEN ? 0.8 : 1.1;
  pen.fill();
  pen.stroke();
}

// Points are set in a picture of their own: fifty thousand rectangles would take ten times as long to draw.
const layer = document.createElement("canvas");
const layerPen = layer.getContext("2d");

function points(groups) {
  if (!groups.some(([all]) => all.length)) return;
  const [wide, high, fine] = [canvas.width, canvas.height, canvas.width / view.wide];
  [layer.width, layer.height] = [wide, high];
  const picture = layerPen.createImageData(wide, high);
  const pixels = new Uint32Array(picture.data.buffer); // alpha, blue, green, red from the high end
  for (const [all, colour, size] of groups) {
    const [red, green, blue] = [1, 3, 5].map((at) => parseInt(colour.slice(at, at + 2), 16));
    const value = ((255 << 24) | (blue << 16) | (green << 8) | red) >>> 0;
    const side = Math.max(1, Math.round(2 * size * fine));
    for (const k of all) {
      const x = Math.round(fine * (onX(east[k]) - size)), y = Math.round(fine * (onY(north[k]) - size));
      const [from, to] = [Math.max(x, 0), Math.min(x + side, wide)];
      if (to <= from) continue;
      for (let row = Math.max(y, 0); row < Math.min(y + side, high); row += 1) pixels.fill(value, row * wide + from, row * wide + to);
    }
  }
  layerPen.putImageData(picture, 0, 0);
  pen.drawImage(layer, 0, 0, view.wide, view.high);
}

// Columns in view by state; the last list are those that the filter leaves out.
function inView() {
  const lists = [[], [], [], [], [], [], [], []];
  const reach = 1 + 8 / view.scale;
  const w = view.e - view.wide / 2 / view.scale - reach, e = view.e + view.wide / 2 / view.scale + reach;
  const s = view.n - view.high / 2 / view.scale - reach, n = view.n + view.high / 2 / view.scale + reach;
  for (let k = 0; k < count; k += 1) {
    if (east[k] > w && east[k] < e && north[k] > s && north[k] < n) lists[shownNow[k] ? state[k] : 7].push(k);
  }
  return lists;
}

function draw() {
  pen.fillStyle = "#ffffff";
  pen.fillRect(0, 0, view.wide, view.high);
  drawGround();
  const lists = inView();
  const usual = view.scale * (radius[0] || 0.4);
  // Thousands of signs that lie over one another would be no signs, and slow.
  const asPoints = DRAWN.filter((which) => usual < ROUND && !(LOUD.includes(which) && lists[which].length <= MOST_SIGNS));
  points([[lists[7], FAINT, 1], ...asPoints.map((which) => [lists[which], POINTS[which], LOUD.includes(which) ? 2 : Math.max(usual, LEAST)])]);
  for (const which of DRAWN) if (!asPoints.includes(which)) signs(which, lists[which], LOUD.includes(which) ? LEAST_LOUD : 0);
  if (usual >= NAMED) drawNames(lists.slice(0, 7).flat());
  drawWords();
  drawAreas();
  drawTaken();
  drawScale();
}

function drawGround() {
  pen.lineWidth = 1;
  pen.strokeStyle = QUIET;
  pen.setLineDash([14, 4, 3, 4]);
  pen.beginPath();
  PLAN.line.forEach(([e, n], k) => pen[k ? "lineTo" : "moveTo"](onX(e / MM), onY(n / MM)));
  pen.stroke();
  pen.setLineDash([]);
  for (const zone of PLAN.zones) drawZone(zone);
}

function drawZone(zone) {
  const corners = zone.corners.map(([e, n]) => [onX(e / MM), onY(n / MM)]);
  pen.save();
  pen.beginPath();
  corners.forEach(([x, y], k) => pen[k ? "lineTo" : "moveTo"](x, y));
  pen.closePath();
  pen.strokeStyle = INK;
  pen.lineWidth = 1.5;
  pen.stroke();
  pen.clip();
  const xs = corners.map(([x]) => x), ys = corners.map(([, y]) => y);
  const [left, top] = [Math.max(Math.min(...xs), 0), Math.max(Math.min(...ys), 0)];
  const [right, low] = [Math.min(Math.max(...xs), view.wide), Math.min(Math.max(...ys), view.high)];
  pen.lineWidth = 0.6;
  pen.beginPath();
  for (let x = left - (low - top); x < right; x += 6) { pen.moveTo(x, low); pen.lineTo(x + (low - top), top); }
  pen.stroke();
  pen.restore();
}

function drawNames(all) {
  pen.fillStyle = INK;
  pen.textAlign = "center";
  pen.font = "10px sans-serif";
  for (const k of all) {
    const r = radius[k] * view.scale;
    pen.fillText(ids[k], onX(east[k]), onY(north[k]) + 1.35 * r + 10);
    const [e, n] = [recorded(k, "easting") - PLAN.origin[0], recorded(k, "northing") - PLAN.origin[1]];
    if (Number.isNaN(e) || k >= PLAN.ids.length) continue;
    pen.beginPath();
    pen.moveTo(onX(east[k]), onY(north[k]));
    pen.lineTo(onX(e), onY(n));
    pen.strokeStyle = INK;
    pen.lineWidth = 1;
    pen.stroke();
    pen.fillStyle = "#ffffff";
    pen.fillRect(onX(e) - 2.5, onY(n) - 2.5, 5, 5);
    pen.fillStyle = INK;
    pen.fillRect(onX(e) - 1.5, onY(n) - 1.5, 3, 3);
  }
}

function drawTaken() {
  if (taken < 0 || Number.isNaN(east[taken])) return;
  const [x, y, r] = [onX(east[taken]), onY(north[taken]), Math.max(radius[taken] * view.scale * 1.5, 9)];
  pen.strokeStyle = INK;
  pen.lineWidth = 2.5;
  pen.strokeRect(x - r, y - r, 2 * r, 2 * r);
  pen.font = "bold 13px sans-serif";
  pen.textAlign = "left";
  const wide = pen.measureText(ids[taken]).width;
  pen.fillStyle = "#ffffff";
  pen.fillRect(x + r + 3, y - 9, wide + 6, 18);
  pen.fillStyle = INK;
  pen.fillText(ids[taken], x + r + 6, y + 5);
}

function haloed(words, x, y) {
  pen.lineWidth = 3;
  pen.strokeStyle = "#ffffff";
  pen.strokeText(words, x, y);
  pen.fillStyle = INK;
  pen.fillText(words, x, y);
}

// Chainages along the line, at round ones, and the names of exclusion zones, over what is drawn.
function drawWords() {
  pen.font = "11px sans-serif";
  pen.textAlign = "center";
  for (const { name, corners } of PLAN.zones) {
    const ys = corners.map(([, n]) => onY(n / MM));
    const xs = corners.map(([e]) => onX(e / MM));
    if (Math.max(...xs) - Math.min(...xs) > 20) haloed(name, (Math.max(...xs) + Math.min(...xs)) / 2, Math.min(...ys) - 5);
  }
  pen.textAlign = "left";
  const step = [1, 2, 5, 10, 20, 50, 100, 200, 500].find((one) => 10 * one * view.scale > 70) ?? 1000;
  PLAN.chainages.forEach(([e, n, text], k) => {
    if ((k + PLAN.first) % step) return;
    const [x, y] = [onX(e / MM), onY(n / MM)];
    pen.fillStyle = INK;
    pen.fillRect(x - 2, y - 2, 4, 4);
    haloed(text, x + 5, y - 4);
  });
}

// The letter of every area beside its middle, while the plan is small.
const middles = new Map();
function drawAreas() {
  if (view.scale > 12) return;
  if (!middles.size) {
    for (let k = 0; k < PLAN.ids.length; k += 1) {
      const own = middles.get(area[k]) ?? middles.set(area[k], [0, 0, 0]).get(area[k]);
      own[0] += east[k]; own[1] += north[k]; own[2] += 1;
    }
  }
  pen.font = "bold 17px sans-serif";
  pen.textAlign = "center";
  for (const [letter, [e, n, many]] of middles) {
    const [x, y] = [onX(e / many) + 26, onY(n / many) + 22];
    pen.fillStyle = "#ffffff";
    pen.fillRect(x - 11, y - 16, 22, 22);
    pen.strokeStyle = INK;
    pen.lineWidth = 1;
    pen.strokeRect(x - 11, y - 16, 22, 22);
    pen.fillStyle = INK;
    pen.fillText(letter, x, y + 1);
  }
}

function drawScale() {
  const metres = [0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000].find((one) => one * view.scale >= 70) ?? 5000;
  const [x, y, long] = [14, view.high - 14, metres * view.scale];
  pen.fillStyle = "#ffffff";
  pen.fillRect(x - 6, y - 22, long + 60, 30);
  pen.strokeStyle = INK;
  pen.fillStyle = INK;
  pen.lineWidth = 1;
  pen.strokeRect(x, y - 5, long, 5);
  pen.fillRect(x, y - 5, long / 2, 5);
  pen.font = "12px sans-serif";
  pen.textAlign = "left";
  pen.fillText(`${metres} m`, x + long + 5, y);
  pen.beginPath(); // grid north is up
  pen.moveTo(x + 6, y - 60); pen.lineTo(x + 12, y - 36); pen.lineTo(x + 6, y - 42); pen.lineTo(x, y - 36);
  pen.closePath();
  pen.fill();
  pen.fillText("N", x + 2, y - 64);
}

// The column nearest to a place on the canvas, of those shown; -1 where none is near.
function nearest(x, y, reach = 14) {
  let [found, least] = [-1, Infinity];
  for (let k = 0; k < count; k += 1) {
    if (!shownNow[k] || Number.isNaN(east[k])) continue;
    const away = Math.hypot(onX(east[k]) - x, onY(north[k]) - y);
    if (away < least) [found, least] = [k, away];
  }
  return found >= 0 && least <= Math.max(reach, radius[found] * view.scale) ? found : -1;
}
