"use strict";
// The review page: marks, comments and own values of the checker, kept in this browser and in a review file.
// Every text goes into the page as text (value, textContent), never as markup.

const DATA = JSON.parse(document.getElementById("data").textContent);
const PREFIX = `sandsleeve-review:${DATA.run}:`;
const LARGEST_FILE = 32 * 1024 * 1024;
const NUMBER = /^[+-]?(\d+(\.\d*)?|\.\d+)(e[+-]?\d{1,3})?$/i;
const ROW_HEIGHT = 90;
const MARKS = ["agreed", "query", "none"];
const LIMITS = { mark: 6, comment: 10000, initials: 12, date: 10, own: 40 };

const byId = (id) => document.getElementById(id);
const rows = [...document.querySelectorAll(".row")].map(readRow);
const chapters = [...document.querySelectorAll(".chapter")].map((element) => ({
  element,
  tally: element.querySelector(".tally"),
  rows: rows.filter((row) => row.chapter === element),
  parts: [...element.querySelectorAll(".part")].map((part) => ({ part, rows: rows.filter((row) => row.part === part) })),
}));
const places = new Map(rows.map((row, index) => [row.key, index]));
let unsaved = false;

// ---- Rows -----------------------------------------------------------------------------------------------------------

function readRow(element, index) {
  const [key, fingerprint, value, carried, stamp, changed] = DATA.steps[index];
  return {
    index, element, key, fingerprint, value, carried, carriedStamp: stamp, changed,
    number: element.querySelector(".no").textContent,
    chapter: element.closest(".chapter"),
    part: element.closest(".part"),
    failing: element.classList.contains("failing"),
    radios: [...element.querySelectorAll("input[type=radio]")],
    text: element.querySelector("textarea"),
    own: element.querySelector(".value"),
    deviation: element.querySelector(".deviation"),
    stamp: element.querySelector(".stamp"),
    paper: element.querySelector(".paper"),
    entry: null, // what the checker has entered here; null where nothing was touched
  };
}

function markOf(row) {
  return row.entry && row.entry.mark ? row.entry.mark : row.carried;
}

function entryOf(row) {
  row.entry ??= { mark: "", comment: "", initials: "", date: "", own: "" };
  return row.entry;
}

function draw(row) {
  const mark = markOf(row);
  const own = Boolean(row.entry && row.entry.mark);
  for (const radio of row.radios) radio.checked = radio.value === mark;
  row.element.classList.toggle("agreed", mark === "agreed");
  row.element.classList.toggle("query", mark === "query");
  const again = row.changed && !own;
  row.element.querySelector(".again").hidden = !again;
  if (own) row.stamp.textContent = mark === "none" ? "" : `${mark} · ${row.entry.initials} ${row.entry.date}`;
  else row.stamp.textContent = mark === "none" ? "" : row.carriedStamp;
  const comment = row.entry ? row.entry.comment : "";
  if (row.text.value !== comment) row.text.value = comment;
  row.paper.textContent = comment;
  if (row.own) {
    const typed = row.entry ? row.entry.own : "";
    if (row.own.value !== typed) row.own.value = typed;
    row.deviation.textContent = deviation(row.value, typed);
    row.element.classList.toggle("compared", typed.trim() !== "");
  }
}

// ---- Own values -----------------------------------------------------------------------------------------------------

function ownNumber(typed) {
  const text = typed.trim().replace("−", "-");
  return NUMBER.test(text) ? Number(text) : NaN;
}

// By how many per cent the result of the calculation lies above or below the checker's own value.
function deviation(result, typed) {
  if (typed.trim() === "") return "";
  const own = ownNumber(typed);
  if (!Number.isFinite(own)) return "not a number (decimal point)";
  if (own === 0) return result === 0 ? "0.00 %" : "no per cent of zero";
  const share = (100 * (result - own)) / Math.abs(own);
  const size = Math.abs(share);
  const digits = size >= 100 ? share.toFixed(0) : share.toFixed(2);
  const plain = Number(digits) === 0 ? "0.00" : digits.replace("-", "−");
  return `${share > 0 && plain !== "0.00" ? "+" : ""}${plain} %`;
}

// ---- What is kept in the browser ------------------------------------------------------------------------------------

function keep(name, value) {
  try {
    localStorage.setItem(PREFIX + name, JSON.stringify(value));
  } catch {
    say("This browser keeps nothing: save the review file before you close the page.", true);
  }
}

function kept(name) {
  try {
    return JSON.parse(localStorage.getItem(PREFIX + name));
  } catch {
    return null;
  }
}

function touched(row) {
  unsaved = true;
  keep(row.key, entryOf(row));
  draw(row);
}

// An entry from a file or from the browser; null where it is not one.
function cleanEntry(found) {
  if (found === null || typeof found !== "object") return null;
  const entry = {};
  for (const [name, longest] of Object.entries(LIMITS)) {
    const value = found[name] ?? "";
    if (typeof value !== "string" || value.length > longest) return null;
    entry[name] = value;
  }
  return entry.mark === "" || MARKS.includes(entry.mark) ? entry : null;
}

// ---- Marking --------------------------------------------------------------------------------------------------------

function today() {
  const now = new Date();
  const two = (number) => String(number).padStart(2, "0");
  return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
}

// Whether initials fit a name: their letters begin a word of it and follow in their order.
function fit(initials, name) {
  const plain = (text) => text.normalize("NFKC").toLowerCase();
  const letters = [...plain(initials)].filter((sign) => /[\p{L}\p{N}]/u.test(sign));
  const words = plain(name).split(/\s+/).filter((word) => word !== "");
  return letters.length > 0 && words.some((word, place) => {
    const rest = [...words.slice(place).join(" ")][Symbol.iterator]();
    return word.startsWith(letters[0]) && letters.every((sign) => {
      for (let next = rest.next(); !next.done; next = rest.next()) if (next.value === sign) return true;
      return false;
    });
  });
}

function signs() {
  const name = byId("name").value.trim();
  return name === "" || fit(byId("initials").value, name);
}

function setMark(row, mark) {
  const initials = byId("initials").value.trim();
  if (mark !== "none" && (initials === "" || !signs())) {
    draw(row);
    say(initials === "" ? "Give your initials first; then mark the step." : "The initials must be those of the name.", true);
    byId("initials").focus();
    return false;
  }
  const entry = entryOf(row);
  entry.mark = mark;
  entry.initials = mark === "none" ? "" : initials;
  entry.date = mark === "none" ? "" : today();
  touched(row);
  count();
  say(mark === "query" && entry.comment.trim() === "" ? `${row.number}: a query needs a comment.` : "");
  return true;
}

// ---- Filter and counts ----------------------------------------------------------------------------------------------

const SHOWN = {
  all: () => true,
  open: (row) => markOf(row) !== "agreed",
  query: (row) => markOf(row) === "query",
  changed: (row) => row.changed,
  failing: (row) => row.failing,
};

// A chapter is hidden as a whole: rows are touched only where they themselves come or go.
function filter() {
  const wanted = SHOWN[byId("show").value];
  const chapter = byId("chapter").value;
  let shown = 0;
  for (const one of chapters) {
    one.element.hidden = chapter !== "" && one.element.id !== chapter;
    if (one.element.hidden) continue;
    let any = false;
    for (const { part, rows: own } of one.parts) {
      let some = 0;
      for (const row of own) {
        const visible = wanted(row);
        if (row.element.hidden === visible) row.element.hidden = !visible;
        some += visible;
      }
      part.hidden = some === 0;
      any ||= some > 0;
      shown += some;
    }
    one.element.hidden = !any && byId("show").value !== "all";
  }
  say(shown ? "" : "No step is shown with this filter.");
}

function showAll() {
  byId("show").value = "all";
  byId("chapter").value = "";
  filter();
}

function isShown(row) {
  return !row.element.hidden && !row.chapter.hidden;
}

function count() {
  const counts = { agreed: 0, query: 0, none: 0 };
  let changed = 0;
  for (const one of chapters) {
    let agreed = 0;
    for (const row of one.rows) {
      const mark = markOf(row);
      counts[mark] += 1;
      agreed += mark === "agreed";
      changed += row.changed && !(row.entry && row.entry.mark);
    }
    one.tally.textContent = one.rows.length ? `${agreed} of ${one.rows.length} agreed` : "";
  }
  byId("progress").max = rows.length || 1;
  byId("progress").value = counts.agreed;
  byId("counts").textContent =
    `${counts.agreed} of ${rows.length} steps agreed, ${counts.query} ${counts.query === 1 ? "query" : "queries"}, ${counts.none} not checked` +
    (changed ? `, ${changed} changed since the last check` : "");
}

function say(text, alarm = false) {
  byId("message").textContent = text;
  byId("message").classList.toggle("alarm", alarm);
}

// ---- The review file ------------------------------------------------------------------------------------------------

function reviewFile() {
  const steps = rows.filter((row) => row.entry).map((row) => ({
    key: row.key, fingerprint: row.fingerprint, ...row.entry, own: row.entry.own.trim().replace("−", "-"),
  }));
  const by = { name: byId("name").value.trim(), initials: byId("initials").value.trim() };
  const { format, run, document: number, revision } = DATA;
  return { format, kind: "review", run, document: number, revision, by, steps };
}

function save() {
  for (const row of rows.filter((one) => one.entry)) {
    if (row.entry.mark === "query" && row.entry.comment.trim() === "") return refuse(row, row.text, "a query needs a comment");
    if (row.entry.own.trim() !== "" && !Number.isFinite(ownNumber(row.entry.own))) {
      return refuse(row, row.own, "the own value is not a number");
    }
  }
  if (byId("name").value.trim() === "" || byId("initials").value.trim() === "") {
    say("Give your name and initials first.", true);
    byId(byId("name").value.trim() === "" ? "name" : "initials").focus();
    return false;
  }
  if (!signs()) {
    say("Not saved: the initials must be those of the name.", true);
    byId("initials").focus();
    return false;
  }
  const link = document.createElement("a");
  link.href = URL.createObjectURL(new Blob([JSON.stringify(reviewFile(), null, 1)], { type: "application/json" }));
  link.download = `review-${DATA.document}-${DATA.revision}`.replace(/[^A-Za-z0-9._-]+/g, "-").slice(0, 100) + ".json";
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60000);
  unsaved = false;
  say(`Saved as ${link.download}.`);
  return true;
}

function refuse(row, field, why) {
  showAll();
  row.element.scrollIntoView({ block: "center" });
  field.focus();
  say(`Not saved: ${row.number}: ${why}.`, true);
  return false;
}

function load(text) {
  let found;
  try {
    found = JSON.parse(text);
  } catch {
    return say("This is no review file.", true);
  }
  if (found?.format !== DATA.format || found.kind !== "review" || !Array.isArray(found.steps)) return say("This is no review file.", true);
  if (found.run !== DATA.run) return say("This review file belongs to another run of the calculation.", true);
  let left = 0;
  for (const step of found.steps) {
    const row = rows[places.get(step?.key)];
    const entry = cleanEntry(step);
    if (row && entry) {
      row.entry = entry;
      keep(row.key, entry);
      draw(row);
    } else left += 1;
  }
  for (const name of ["name", "initials"]) {
    const value = found.by?.[name];
    if (typeof value === "string" && value !== "") byId(name).value = value.slice(0, byId(name).maxLength);
  }
  keepPerson();
  count();
  filter();
  return say(`${found.steps.length - left} entries loaded` + (left ? `, ${left} could not be read.` : "."), left > 0);
}

function keepPerson() {
  keep("by", { name: byId("name").value, initials: byId("initials").value });
}

// ---- Keys -----------------------------------------------------------------------------------------------------------

function current() {
  return rows.find((row) => row.element === document.activeElement.closest(".row"));
}

// The next visible row from the current one in a direction that satisfies a condition.
function next(step, wanted = () => true) {
  const here = current();
  let index = here ? here.index + step : step > 0 ? 0 : rows.length - 1;
  while (rows[index] && !(isShown(rows[index]) && wanted(rows[index]))) index += step;
  if (rows[index]) rows[index].element.focus();
  else say("No further step in this direction.");
}

const KEYS = {
  j: () => next(1),
  k: () => next(-1),
  o: () => next(1, (row) => markOf(row) !== "agreed"),
  a: () => current() && setMark(current(), "agreed"),
  q: () => { const row = current(); if (row && setMark(row, "query")) row.text.focus(); },
  n: () => current() && setMark(current(), "none"),
  c: () => current()?.text.focus(),
  v: () => current()?.own?.focus(),
  f: () => byId("show").focus(),
  g: () => byId("chapter").focus(),
  i: () => byId("initials").focus(),
  s: save,
  "?": () => { byId("help").open = !byId("help").open; byId("help").scrollIntoView({ block: "center" }); },
};

function onKey(event) {
  if (event.ctrlKey || event.altKey || event.metaKey) return;
  const field = event.target.closest("input:not([type=radio]), select, textarea");
  if (event.key === "Escape") {
    const row = current() ?? rows.find(isShown);
    if (row) row.element.focus();
  } else if (!field && Object.hasOwn(KEYS, event.key)) {
    event.preventDefault();
    KEYS[event.key]();
  }
}

// A link may lead to a step that the filter hides.
function onClick(event) {
  const link = event.target.closest('a[href^="#"]');
  const row = link && rows.find((one) => `#${one.element.id}` === link.getAttribute("href"));
  if (!row) return;
  event.preventDefault();
  if (!isShown(row)) showAll();
  row.element.focus();
  row.element.scrollIntoView({ block: "center" });
}

// ---- Beginning ------------------------------------------------------------------------------------------------------

function onInput(event) {
  const row = rows.find((one) => one.element === event.target.closest(".row"));
  if (!row) return;
  if (event.target === row.text) entryOf(row).comment = row.text.value;
  if (event.target === row.own) entryOf(row).own = row.own.value;
  if (event.target.type === "radio") setMark(row, event.target.value);
  else touched(row);
}

for (const row of rows) {
  row.entry = cleanEntry(kept(row.key)) ?? cleanEntry(DATA.entries[row.key] ?? null);
  draw(row);
}
const person = kept("by");
if (typeof person?.name === "string" && person.name !== "") byId("name").value = person.name;
if (typeof person?.initials === "string") byId("initials").value = person.initials;
for (const { part, rows: own } of chapters.flatMap((one) => one.parts)) {
  part.style.containIntrinsicSize = `auto ${ROW_HEIGHT * own.length}px`; // until it has been laid out once
}
count();
document.addEventListener("input", onInput);
document.addEventListener("keydown", onKey);
document.addEventListener("click", onClick);
byId("show").addEventListener("change", filter);
byId("chapter").addEventListener("change", filter);
for (const name of ["name", "initials"]) byId(name).addEventListener("input", keepPerson);
byId("save").addEventListener("click", save);
byId("print").addEventListener("click", () => window.print());
byId("load").addEventListener("change", async (event) => {
  const [file] = event.target.files;
  if (file && file.size > LARGEST_FILE) say("The file is too large for a review file.", true);
  else if (file) load(await file.text());
  event.target.value = "";
});
window.addEventListener("storage", (event) => {
  // Another window with the same page: show what was entered there.
  const row = event.key?.startsWith(PREFIX) && rows[places.get(event.key.slice(PREFIX.length))];
  if (!row) return;
  row.entry = cleanEntry(kept(row.key));
  draw(row);
  count();
});
window.addEventListener("beforeunload", (event) => {
  if (unsaved) event.preventDefault();
});
document.documentElement.dataset.ready = "yes";
