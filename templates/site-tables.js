// The filter, the tables of what it shows, and the record of the column that is taken.

const ROWS = 100; // of a table at a time
const PRINTED = 1000; // non-conformities on paper
const listed = { findings: [], columns: [] }; // what each table goes through
const firstRow = { findings: 0, columns: 0 };
const itemTitle = new Map((RECORDS?.items ?? []).map((one) => [one.key, one.title]));
const depthOf = new Map();

if (RECORDS) {
  let at = 0;
  RECORDS.depth.of.forEach((k, place) => { depthOf.set(k, [at, RECORDS.depth.count[place]]); at += RECORDS.depth.count[place]; });
}

function element(name, text = "", kind = "") {
  const made = document.createElement(name);
  if (text !== "") made.textContent = text;
  if (kind) made.className = kind;
  return made;
}

// A number as it is set; nothing that is typed.
const minus = (value) => String(value).replace(/(?<![\w.])-(?=\d)/g, "−");

function row(cells, kinds = []) {
  const made = element("tr");
  cells.forEach((cell, k) => {
    if (cell instanceof Node) {
      const held = element("td", "", kinds[k]);
      held.append(cell);
      made.append(held);
    } else made.append(element("td", kinds[k] === "n" ? minus(cell) : String(cell), kinds[k]));
  });
  return made;
}

function idButton(k) {
  const made = element("button", ids[k], "id");
  made.type = "button";
  made.dataset.column = k;
  return made;
}

const minuteText = (minutes, day) => new Date(minutes * 60000).toISOString().replace("T", " ").slice(0, day ? 10 : 16);

// What a record says in a field, as it is shown.
function fieldText(field, place) {
  if (field.minutes) return field.minutes[place] === null ? "" : minuteText(field.minutes[place], field.day);
  if (field.texts) return field.texts[place] < 0 ? "" : field.words[field.texts[place]];
  const value = field.values[place];
  if (value === null) return "";
  return minus(`${(value / 10 ** field.decimals).toFixed(field.decimals)} ${field.unit}`.trim());
}

function recordText(k, key) {
  return fields.has(key) && recordOf[k] >= 0 ? fieldText(fields.get(key), recordOf[k]) : "";
}

// ---- Filter -------------------------------------------------------------------------------------------------------------

const boxes = [];

function makeStates() {
  const counts = DATA.words.map(() => 0);
  for (const one of state) counts[one] += 1;
  DATA.words.forEach((words, which) => {
    if (!counts[which]) return;
    const label = element("label");
    const box = element("input");
    box.type = "checkbox";
    box.checked = true;
    box.value = which;
    boxes.push(box);
    const picture = element("canvas");
    picture.width = picture.height = 40;
    const ink = picture.getContext("2d");
    ink.scale(2, 2);
    ink.beginPath();
    sign(ink, which, 10, 10, 6.5);
    ink.fillStyle = FILLS[which];
    ink.strokeStyle = STROKES[which];
    ink.lineWidth = 1.4;
    ink.fill();
    ink.stroke();
    label.append(box, picture, element("span", `${words}: ${counts[which]}`));
    byId("states").append(label);
  });
}

function makeItems() {
  for (const one of RECORDS?.items ?? []) {
    if (!one.failed) continue;
    const option = element("option", `${one.title}: ${one.failed}`);
    option.value = one.key;
    byId("item").append(option);
  }
}

function filter() {
  const states = new Uint8Array(DATA.words.length);
  for (const box of boxes) states[box.value] = box.checked;
  const [letter, item, part] = [byId("area").value, byId("item")?.value ?? "", byId("search").value.trim().toLowerCase()];
  let shown = 0;
  for (let k = 0; k < count; k += 1) {
    const fits = states[state[k]] && (letter === "" || area[k] === letter) && (part === "" || lower[k].includes(part))
      && (item === "" || (findingsOf.get(k)?.some((one) => one[2] === item) ?? false));
    shownNow[k] = fits ? 1 : 0;
    shown += shownNow[k];
  }
  listed.columns = shown === count ? order : order.filter((k) => shownNow[k]);
  listed.findings = (RECORDS?.findings ?? []).filter((one) => (item === "" || one[2] === item)
    && (one[0] >= 0 ? shownNow[one[0]] : letter === "" && one[1].toLowerCase().includes(part)));
  byId("shown").textContent = shown === count ? `${count} columns` : `${shown} of ${count} columns shown`;
  byId("list").classList.toggle("every", shown === count);
  firstRow.columns = firstRow.findings = 0;
  fill("columns");
  if (RECORDS) fill("findings");
  redraw();
}

function showAll() {
  for (const box of boxes) box.checked = true;
  for (const name of ["area", "item", "search"]) if (byId(name)) byId(name).value = "";
  filter();
}

// ---- Tables -------------------------------------------------------------------------------------------------------------

function findingRow(one) {
  const [k, id, item, value, limit, unit, note, file, line, waits] = one;
  const name = k < 0 ? id : idButton(k);
  const made = row([name, itemTitle.get(item), value, limit, unit, note, waits, file && `${file}, ${line}`], ["", "", "n", "n"]);
  if (k >= 0 && k === taken) made.className = "taken";
  return made;
}

function columnRow(k) {
  const kind = k < PLAN.ids.length ? PLAN.kinds[PLAN.kind[k]] : null;
  const place = kind ? [kind[0], kind[2]].filter(Boolean).join(", ") : "";
  const made = row([idButton(k), DATA.words[state[k]], place, kind ? (PLAN.length[k] / 100).toFixed(2) : "", recordText(k, "rig"), recordText(k, "start") || recordText(k, "date")], ["", "", "", "n"]);
  if (k === taken) made.className = "taken";
  return made;
}

function fill(name, most = ROWS) {
  const all = listed[name];
  const first = firstRow[name];
  const some = all.slice(first, first + most);
  byId(name).tBodies[0].replaceChildren(...some.map(name === "findings" ? findingRow : columnRow));
  byId(name === "findings" ? "found" : "listed").textContent = String(all.length);
  const pages = byId(`${name}-pages`);
  if (all.length <= most) return pages.replaceChildren();
  const said = element("span", `${first + 1} to ${first + some.length} of ${all.length}`);
  const turn = (words, to) => {
    const made = element("button", words);
    made.type = "button";
    made.disabled = to < 0 || to >= all.length;
    made.addEventListener("click", () => { firstRow[name] = to; fill(name); });
    return made;
  };
  return pages.replaceChildren(turn("Previous", first - ROWS), turn("Next", first + ROWS), said);
}

// ---- The record ---------------------------------------------------------------------------------------------------------

// Take a column; `look` brings it into the middle of the plan.
function take(k, look = true) {
  taken = k;
  const card = byId("card");
  card.classList.toggle("empty", k < 0);
  card.replaceChildren(...(k < 0 ? [element("p", "Click a column of the plan, or its id in a table: its record stands here.", "quiet")] : record(k)));
  card.scrollTop = 0;
  for (const one of document.querySelectorAll("tr.taken")) one.classList.remove("taken");
  for (const one of document.querySelectorAll(`button[data-column="${k}"]`)) one.closest("tr").classList.add("taken");
  byId("said").textContent = k < 0 ? "" : `${ids[k]}: ${DATA.words[state[k]]}`;
  if (k >= 0 && look) lookAt(k);
  else redraw();
}

function step(by) {
  const all = listed.columns;
  if (!all.length) return;
  const from = taken < 0 ? -1 : all.findIndex((k) => rank[k] >= rank[taken]);
  const here = from < 0 ? (by > 0 ? -1 : all.length) : from;
  const exact = from >= 0 && all[from] === taken;
  const to = taken < 0 ? (by > 0 ? 0 : all.length - 1) : exact ? here + by : by > 0 ? (from < 0 ? all.length : from) : here - 1;
  if (to >= 0 && to < all.length) take(all[to]);
}

function record(k) {
  const head = element("h2");
  const close = element("button", "Close");
  close.type = "button";
  close.addEventListener("click", () => { take(-1); canvas.focus(); });
  head.append(element("span", ids[k]), close);
  const parts = [head, element("p", DATA.words[state[k]], `state ${STYLES[state[k]]}`)];
  const own = findingsOf.get(k) ?? [];
  if (own.length) {
    const list = element("ul");
    for (const [, , item, value, limit, unit, note, , , waits] of own) {
      const numbers = value === "" ? "" : ` ${value}${limit === "" ? "" : `, limit ${limit}`} ${unit}`.trimEnd();
      const text = [`${itemTitle.get(item)}:${numbers}`, note].filter(Boolean).join(numbers ? ", " : " ");
      list.append(element("li", waits ? `${text}. Waits for ${waits}.` : text));
    }
    parts.push(list);
  }
  parts.push(comparison(k), ...details(k));
  return parts;
}

// Plan beside as built.
function comparison(k) {
  const table = element("table");
  const head = element("tr");
  head.append(element("th", ""), element("th", "Plan", "n"), element("th", "As recorded", "n"));
  table.append(head);
  const planned = k < PLAN.ids.length ? PLAN.kinds[PLAN.kind[k]] : null;
  const metres = (value, digits) => (planned ? minus(`${value.toFixed(digits)} m`) : "");
  const pairs = [
    ["Easting", metres(PLAN.origin[0] + PLAN.e[k] / MM, 3), "easting"], ["Northing", metres(PLAN.origin[1] + PLAN.n[k] / MM, 3), "northing"],
    ["Toe", metres(PLAN.toe[k] / 100, 2), "toe_level"], ["Length", metres(PLAN.length[k] / 100, 2), "length"],
    ["Diameter", planned ? metres(planned[4], 3) : "", "diameter"], ["Sleeve", planned ? planned[3] : "", "sleeve"],
    ["Head", metres(PLAN.head[k] / 100, 2), ""], ["Working level", planned ? metres(planned[5], 2) : "", ""],
  ];
  for (const [title, text, key] of pairs) {
    const other = key ? recordText(k, key) : "";
    if (text || other) table.append(row([title, text, other], key === "sleeve" ? ["", "t", "t"] : ["", "n", "n"]));
  }
  return table;
}

const ELSEWHERE = new Set(["easting", "northing", "toe_level", "length", "diameter", "sleeve"]);

function details(k) {
  const kind = k < PLAN.ids.length ? PLAN.kinds[PLAN.kind[k]] : null;
  const said = kind ? [element("p", `Area ${kind[0]}, section ${kind[1]}${kind[2] ? `, zone ${kind[2]}` : ""}`, "quiet")] : [];
  if (recordOf[k] < 0) return [...said, element("p", RECORDS ? "There is no record of this column." : "No records are given.", "quiet")];
  const table = element("table");
  for (const field of RECORDS.recorded.fields) {
    const text = ELSEWHERE.has(field.key) || (field.key === "date" && recordText(k, "start")) ? "" : fieldText(field, recordOf[k]);
    if (text) table.append(row([field.title, text], ["", field.texts ? "t" : "n"]));
  }
  const place = recordOf[k];
  table.append(row(["File, line", `${RECORDS.recorded.files[RECORDS.recorded.file[place]]}, ${RECORDS.recorded.line[place]}`], ["", "t"]));
  return [...said, element("h3", "Record"), table, ...depthPart(k)];
}

function depthPart(k) {
  if (depthOf.has(k)) {
    const [first, many] = depthOf.get(k);
    const deep = RECORDS.depth.z.slice(first, first + many).map((one) => one / 100);
    const placed = RECORDS.depth.v.slice(first, first + many).map((one) => one / 1000);
    const table = element("table");
    const head = element("tr");
    head.append(element("th", "Depth, m", "n"), element("th", "Fill so far, m³", "n"));
    table.append(head, ...deep.map((one, place) => row([one.toFixed(2), placed[place].toFixed(3)], ["n", "n"])));
    const more = element("details");
    more.append(element("summary", `${many} readings in depth`), table);
    const of = k < PLAN.ids.length ? PLAN.kinds[PLAN.kind[k]][6] : NaN;
    return [element("h3", "Fill by depth"), depthChart(deep, placed, of), element("p", Number.isNaN(of) ? "" : "Dashed: theoretical volume, of the diameter of the plan, from the lowest reading.", "quiet"), more];
  }
  return RECORDS.depth.left_out ? [element("h3", "Fill by depth"), element("p", RECORDS.depth.says, "quiet")] : [];
}
