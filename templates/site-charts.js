// Curves: fill by depth of a column, columns of every day, readings in time with expected range, triggers and crossings.

const SVG = "http://www.w3.org/2000/svg";
const DAY = 86400000;
const LISTED = 1000; // readings in the table behind a curve
const SHADES = [INK, "#9a9a94", "#ffffff", "#5d5d58", "#d4d2cb"];

function shape(name, set = {}, text = "") {
  const made = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(set)) made.setAttribute(key, value);
  if (text !== "") made.textContent = text;
  return made;
}

const path = (xs, ys) => xs.map((x, k) => `${k ? "L" : "M"}${x.toFixed(1)} ${ys[k].toFixed(1)}`).join("");

// Round numbers from low to high, about `many` of them.
function ticks(low, high, many) {
  const rough = (high - low) / many || 1;
  const power = 10 ** Math.floor(Math.log10(rough));
  const each = [1, 2, 5, 10].map((one) => one * power).find((one) => one >= rough * 0.999);
  const digits = Math.max(0, -Math.floor(Math.log10(each) + 1e-9));
  const found = [];
  for (let k = Math.ceil(low / each - 1e-9); k * each <= high + 1e-9 * each; k += 1) found.push([k * each, minus((k * each).toFixed(digits))]);
  return found;
}

// The least and the largest of some lists, which may be longer than the arguments of a call.
function extent(lists) {
  let [low, high] = [Infinity, -Infinity];
  for (const values of lists) for (const value of values) [low, high] = [Math.min(low, value), Math.max(high, value)];
  return [low, high];
}

function scaleOf(low, high, from, to) {
  const span = high - low || 1;
  return (value) => from + ((value - low) / span) * (to - from);
}

// ---- Fill by depth of a column ----------------------------------------------------------------------------------------

function depthChart(deep, placed, area) {
  const [wide, high, left, top] = [340, 250, 44, 8];
  const low = Math.max(...deep), upper = Math.min(...deep);
  const theory = Number.isNaN(area) ? [] : deep.map((one) => area * (low - one));
  const x = scaleOf(0, Math.max(...placed, ...theory) * 1.05, left, wide - 8);
  const y = scaleOf(Math.min(0, upper), low, top, high - 34);
  const made = shape("svg", { viewBox: `0 0 ${wide} ${high}`, role: "img", "aria-label": `Fill placed from ${low.toFixed(2)} m to ${upper.toFixed(2)} m below the working level; the numbers stand in the table below` });
  for (const [value, text] of ticks(0, low, 5)) made.append(shape("path", { class: "grid", d: `M${left} ${y(value)}H${wide - 8}` }), shape("text", { x: left - 5, y: y(value) + 4, "text-anchor": "end" }, text));
  for (const [value, text] of ticks(0, Math.max(...placed, ...theory), 5)) made.append(shape("path", { class: "grid", d: `M${x(value)} ${top}V${high - 34}` }), shape("text", { x: x(value), y: high - 20, "text-anchor": "middle" }, text));
  made.append(
    shape("rect", { class: "frame", x: left, y: top, width: wide - 8 - left, height: high - 34 - top }),
    shape("text", { x: (left + wide) / 2, y: high - 5, "text-anchor": "middle" }, "fill placed so far, m³"),
    shape("text", { transform: `translate(11 ${high / 2}) rotate(-90)`, "text-anchor": "middle" }, "depth, m"),
    shape("path", { class: "curve", d: path(placed.map(x), deep.map(y)) }),
  );
  if (theory.length) made.append(shape("path", { class: "best", d: path(theory.map(x), deep.map(y)) }));
  placed.forEach((value, k) => made.append(shape("circle", { class: "dot", cx: x(value), cy: y(deep[k]), r: 2 })));
  return made;
}

// ---- Columns of every day ---------------------------------------------------------------------------------------------

function daysChart({ rigs, days, undated }) {
  const shown = days.slice(-60);
  const [wide, high, left, bottom, top] = [1000, 230, 40, 200, 26];
  const most = Math.max(...shown.map(([, counts]) => counts.reduce((sum, one) => sum + one, 0)), 1);
  const y = scaleOf(0, most * 1.1, bottom, top);
  const each = Math.min((wide - left - 10) / Math.max(shown.length, 1), 60);
  const made = shape("svg", { viewBox: `0 0 ${wide} ${high}`, role: "img", "aria-label": `Columns of ${shown.length} days by rig; the numbers stand in the table below` });
  for (const [value, text] of ticks(0, most, 4)) made.append(shape("path", { class: "grid", d: `M${left} ${y(value)}H${wide}` }), shape("text", { x: left - 5, y: y(value) + 4, "text-anchor": "end" }, text));
  shown.forEach(([day, counts], k) => {
    let sum = 0;
    const x = left + k * each;
    counts.forEach((one, rig) => {
      if (!one) return;
      made.append(shape("rect", { class: "bar", fill: SHADES[rig % SHADES.length], x: x + 0.12 * each, y: y(sum + one), width: 0.76 * each, height: y(sum) - y(sum + one) }));
      sum += one;
    });
    if (each > 18) made.append(shape("text", { x: x + each / 2, y: y(sum) - 3, "text-anchor": "middle" }, sum));
    if (each > 34 || k % Math.ceil(36 / each) === 0) made.append(shape("text", { class: "quiet", x: x + each / 2, y: bottom + 14, "text-anchor": "middle" }, day.slice(5)));
  });
  made.append(shape("path", { class: "frame", d: `M${left} ${bottom}H${wide}` }));
  rigs.slice(0, 8).forEach((rig, k) => made.append(
    shape("rect", { class: "bar", fill: SHADES[k % SHADES.length], x: left + k * 118, y: 4, width: 12, height: 12 }),
    shape("text", { x: left + k * 118 + 17, y: 14 }, rig.slice(0, 16)),
  ));
  const caption = element("figcaption", `Columns of every day by rig${shown.length < days.length ? `, the last ${shown.length} days` : ""}${undated ? `; ${undated} records have no day` : ""}`, "quiet");
  byId("days").append(caption, made);
  const head = element("tr");
  head.append(element("th", "Day"), ...rigs.map((rig) => element("th", rig, "n")), element("th", "All rigs", "n"), element("th", "So far", "n"));
  byId("daily").tHead.append(head);
  let whole = 0;
  for (const [day, counts] of days) {
    const sum = counts.reduce((total, one) => total + one, 0);
    whole += sum;
    byId("daily").tBodies[0].append(row([day, ...counts, sum, whole], ["", ...rigs.map(() => "n"), "n", "n"]));
  }
}

// ---- Readings ---------------------------------------------------------------------------------------------------------

const dateOf = (day) => new Date(Date.parse(DATA.readings.start) + Math.floor(day + 1e-6) * DAY).toISOString().slice(0, 10);

// The first days of months from the start of works on, as few as fit.
function months(first, last) {
  const start = new Date(Date.parse(DATA.readings.start) + first * DAY);
  const each = [1, 2, 3, 6, 12, 24, 60, 120, 240].find((one) => (last - first) / 30.44 / one <= 7) ?? 480;
  const found = [];
  for (let month = start.getUTCFullYear() * 12 + Math.ceil((start.getUTCMonth() + (start.getUTCDate() > 1)) / Math.min(each, 12)) * Math.min(each, 12); ; month += each) {
    const at = new Date(Date.UTC(Math.floor(month / 12), month % 12, 1));
    const day = (at - Date.parse(DATA.readings.start)) / DAY;
    if (day > last) return found;
    if (day >= first) found.push([day, at.toISOString().slice(0, 7)]);
  }
}

const CHART = { wide: 480, high: 250, left: 46, right: 8, top: 8, bottom: 24 };

function chartScales(one, until) {
  const first = Math.min(0, one.days[0]);
  const levels = one.levels.filter((level) => level.spans.some(([from]) => from <= until)).map((level) => level.value);
  // An outlier sets no scale: beyond that of the others it stands at the edge with its value.
  const wrong = new Set(one.outliers);
  let [low, high] = extent([one.values.filter((_, k) => !wrong.has(k)), ...(one.course?.rows ?? []), levels]);
  if (low > 0 && low < 0.5 * high) low = 0;
  const room = (high - low || Math.abs(high) || 1) * 0.1;
  [low, high] = [low === 0 ? 0 : low - room, high + room];
  const ends = one.down ? [CHART.top, CHART.high - CHART.bottom] : [CHART.high - CHART.bottom, CHART.top];
  return { first, low, high, x: scaleOf(first, until, CHART.left, CHART.wide - CHART.right), y: scaleOf(low, high, ...ends) };
}

function readingChart(one, section) {
  const { first, low, high, x, y } = chartScales(one, section.until);
  const [bottom, end] = [CHART.high - CHART.bottom, CHART.wide - CHART.right];
  const made = shape("svg", { viewBox: `0 0 ${CHART.wide} ${CHART.high}`, role: "img", "aria-label": `${titleOf(one)}: ${lastText(one)} The numbers stand in the table below.` });
  for (const [value, text] of ticks(low, high, 5)) made.append(shape("path", { class: "grid", d: `M${CHART.left} ${y(value)}H${end}` }), shape("text", { x: CHART.left - 5, y: y(value) + 4, "text-anchor": "end" }, text));
  for (const [day, text] of months(first, section.until)) made.append(shape("path", { class: "grid", d: `M${x(day)} ${CHART.top}V${bottom}` }), shape("text", { x: x(day), y: bottom + 15, "text-anchor": "middle" }, text));
  if (one.course) {
    const xs = one.course.days.map(x);
    const [best, ...ends] = one.course.rows.map((values) => values.map(y));
    made.append(shape("path", { class: "band", d: `${path(xs, ends[0])}L${path([...xs].reverse(), [...ends[1]].reverse()).slice(1)}Z` }), shape("path", { class: "best", d: path(xs, best) }));
  }
  for (const stage of section.stages) {
    if (stage.start <= section.until) made.append(shape("path", { class: "frame", d: `M${x(stage.start)} ${bottom}V${bottom - 6}` }));
  }
  drawLevels(made, one, section.until, x, y);
  const wrong = new Set(one.outliers);
  const kept = [...one.days.keys()].filter((k) => !wrong.has(k));
  made.append(shape("path", { class: "curve", d: path(kept.map((k) => x(one.days[k])), kept.map((k) => y(one.values[k]))) }));
  if (kept.length <= 160) for (const k of kept) made.append(shape("circle", { class: "dot", cx: x(one.days[k]), cy: y(one.values[k]), r: 1.6 }));
  for (const k of wrong) drawOutlier(made, one, x(one.days[k]), one.values[k], { low, high, y });
  for (const crossing of one.crossed) made.append(shape("path", { class: "flag", d: `M${x(crossing.first)} ${CHART.top + 12}l-5 -10h10z` }), shape("path", { class: crossing.kind, d: `M${x(crossing.first)} ${CHART.top + 12}V${bottom}` }));
  made.append(shape("rect", { class: "frame", x: CHART.left, y: CHART.top, width: end - CHART.left, height: bottom - CHART.top }));
  return made;
}

function drawOutlier(made, one, at, value, { low, high, y }) {
  const edge = Math.min(Math.max(value, low), high);
  if (edge === value) {
    made.append(shape("circle", { class: "outlier", cx: at, cy: y(value), r: 3.4 }));
    return;
  }
  const inwards = y(edge) < CHART.high / 2 ? 1 : -1;
  const [tip, late] = [y(edge) + 2 * inwards, at > CHART.wide - CHART.right - 110];
  made.append(
    shape("path", { class: "frame", d: `M${at - 3.5} ${tip + 4 * inwards}L${at} ${tip}L${at + 3.5} ${tip + 4 * inwards}` }),
    shape("circle", { class: "outlier", cx: at, cy: tip + 9 * inwards, r: 3.4 }),
    shape("text", { x: late ? at - 7 : at + 7, y: tip + 9 * inwards + 4, "text-anchor": late ? "end" : "start" }, minus(`${value.toFixed(one.decimals)} ${one.unit}`)),
  );
}

// Levels in their stages; the words stand at the first stage of each that is in view, clear of one another.
function drawLevels(made, one, until, x, y) {
  const right = CHART.wide - CHART.right;
  const placed = [];
  for (const level of one.levels) {
    const spans = level.spans.filter(([from]) => from <= until);
    for (const [from, to] of spans) {
      const [start, end] = [x(from), x(Math.min(to, until))];
      made.append(shape("path", { class: level.kind, d: `M${Math.min(start, end - 8)} ${y(level.value)}H${end}` })); // a level of one day, too
    }
    if (!spans.length) continue;
    const end = x(spans[0][0]) > right - 110;
    const at = end ? right - 113 : x(spans[0][0]) + 3;
    let above = y(level.value) - 4;
    while (placed.some(([other, height]) => Math.abs(other - at) < 110 && Math.abs(height - above) < 11)) above -= 11;
    placed.push([at, above]);
    made.append(shape("text", { class: level.kind, x: end ? right - 3 : at, y: above, "text-anchor": end ? "end" : "start" }, level.text));
  }
}

const titleOf = (one) => `${one.names.join(", then ")}: ${one.quantity}, ${one.unit}`;

function expectedText(one, k) {
  if (!one.expected) return "";
  const ends = one.expected.map((values) => values[k]);
  return minus(`${Math.min(...ends).toFixed(one.decimals)} to ${Math.max(...ends).toFixed(one.decimals)}`);
}

function lastText(one) {
  const last = one.days.length - 1;
  const nothing = one.quantity === "fill" ? "" : "; the design expects nothing of it in time";
  const beside = one.expected ? `; expected ${expectedText(one, last)}` : nothing;
  return `${one.days.length} readings, the last ${minus(one.values[last].toFixed(one.decimals))} ${one.unit} on ${dateOf(one.days[last])}${beside}.`;
}

function chart(one, section) {
  const made = element("figure", "", "chart");
  const caption = element("figcaption");
  caption.append(element("b", titleOf(one)), ` · ${one.place}`);
  made.append(caption, readingChart(one, section), element("p", lastText(one)));
  for (const crossing of one.crossed) made.append(element("p", `▼ ${crossing.text}`, crossing.kind));
  const more = element("details");
  more.append(element("summary", `Readings of ${one.name} as a table`));
  more.addEventListener("toggle", () => { if (more.open && more.childElementCount === 1) more.append(readingTable(one)); });
  made.append(more);
  made.dataset.quantity = one.quantity;
  if (one.crossed.length) made.dataset.crossed = "yes";
  return made;
}

function readingTable(one) {
  const holder = element("div", "", "wide");
  const table = element("table");
  const head = element("tr");
  head.append(element("th", "Date"), element("th", "Day", "n"), element("th", `Reading, ${one.unit}`, "n"), element("th", "Expected", "n"), element("th", "Remark"));
  const wrong = new Set(one.outliers);
  const first = Math.max(0, one.days.length - LISTED);
  table.append(head);
  for (let k = first; k < one.days.length; k += 1) table.append(row([dateOf(one.days[k]), one.days[k].toFixed(1), one.values[k].toFixed(one.decimals), expectedText(one, k), [wrong.has(k) && "outlier", one.remarks[k]].filter(Boolean).join("; ")], ["", "n", "n", "n"]));
  if (first) holder.append(element("p", `The last ${LISTED}; the ${first} before are drawn alone.`, "quiet"));
  holder.append(table);
  return holder;
}

function makeCharts() {
  const quantities = new Set();
  document.querySelectorAll(".charts").forEach((place) => {
    const section = DATA.readings.sections[place.dataset.section];
    for (const one of section.series) {
      quantities.add(one.quantity);
      place.append(chart(one, section));
    }
  });
  for (const quantity of quantities) byId("charts").append(element("option", quantity));
  const keys = [["band", "M0 1H34V11H0Z", "expected, range of cₕ"], ["best", "M0 6H34", "expected, best estimate"], ["curve", "M0 6H34", "readings"], ["amber", "M0 6H34", "amber trigger"], ["red", "M0 6H34", "red trigger"], ["flag", "M17 11l-6 -10h12z", "trigger crossed from here on"]];
  for (const [kind, d, words] of keys) {
    const picture = shape("svg", { viewBox: "0 0 34 12", "aria-hidden": "true" });
    picture.append(shape("path", { class: kind, d }));
    const key = element("span");
    key.append(picture, ` ${words}`);
    byId("chart-key").append(key);
  }
  byId("charts").addEventListener("change", chooseCharts);
}

function chooseCharts() {
  const wanted = byId("charts").value;
  for (const one of document.querySelectorAll(".chart")) one.hidden = wanted !== "" && (wanted === "crossed" ? !one.dataset.crossed : one.dataset.quantity !== wanted);
}
