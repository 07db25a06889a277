"use strict";
// The review page: marks, comments and own values of the checker, kept in this browser and in a review file.
// Every text goes into the page as text (value, textContent), never as markup.
// A row is a line of the page, a step its quantity in one section; what is entered belongs to steps, by their keys.

const DATA = JSON.parse(document.getElementById("data").textContent);
const PREFIX = `sandsleeve-review:${DATA.run}:`;
const LARGEST_FILE = 32 * 1024 * 1024;
const NUMBER = /^[+-]?(\d+(\.\d*)?|\.\d+)(e[+-]?\d{1,3})?$/i;
const ROW_HEIGHT = 48;
const MARKS = ["agreed", "query", "none"];
const LIMITS = { mark: 6, comment: 10000, initials: 12, date: 10, own: 40 };
const MANY = DATA.sections.length > 1;

const byId = (id) => document.getElementById(id);
const steps = [];
const rows = [...document.querySelectorAll(".row")].map(readRow);
const rowOf = new Map(rows.map((row) => [row.element, row]));
const places = new Map(steps.map((step, index) => [step.key, index]));
const chapters = [...document.querySelectorAll(".chapter")].map((element) => ({
  element,
  tally: element.querySelector(".tally"),
  rows: rows.filter((row) => row.chapter === element),
  parts: [...element.querySelectorAll(".part")].map((part) => ({ part, rows: rows.filter((row) => row.part === part) })),
}));
let unsaved = false;
let here = null; // the line that the panel is about
let only = -1; // the section alone that the next mark on this line is for, -1 for those of the page
const undone = []; // what the marks set together have replaced, the last at the end

// ---- Rows -----------------------------------------------------------------------------------------------------------

function readRow(element, index) {
  const cells = [...element.querySelectorAll(".v")];
  const row = {
    index, element, cells,
    number: element.querySelector(".no").lastChild.textContent.trim(),
    chapter: element.closest(".chapter"),
    part: element.closest(".part"),
    given: !element.classList.contains("full"),
    box: element.querySelector(".box"),
    entered: element.querySelector(".entered"),
    steps: [],
  };
  for (const section of DATA.lines[index]) {
    const [key, fingerprint, value, unit, numbers, printed, recomputed, carried, carriedStamp, changed, differs, alike, taken, order, inputs] = DATA.steps[steps.length];
    const step = {
      place: steps.length, row, section, key, fingerprint, value, unit, numbers, printed, recomputed, carried, carriedStamp, changed, differs, alike, taken, order, inputs,
      entry: null, // what the checker has entered here; null where nothing was touched
    };
    steps.push(step);
    row.steps.push(step);
  }
  return row;
}

// The section that the page is limited to, -1 for all.
function limited() {
  return MANY && byId("section").value !== "" ? Number(byId("section").value) : -1;
}

// The steps of a line that what is entered now is for.
function chosen(row) {
  const section = row === here && only >= 0 ? only : limited();
  return section < 0 ? row.steps : row.steps.filter((step) => step.section === section);
}

function nameOf(step) {
  return `${DATA.sections[step.section]} ${step.row.number}`;
}

function ownMark(step) {
  return Boolean(step.entry && step.entry.mark);
}

function markOf(step) {
  return ownMark(step) ? step.entry.mark : step.carried;
}

function isMarked(step) {
  return markOf(step) !== "none";
}

function entryOf(step) {
  step.entry ??= { mark: "", comment: "", initials: "", date: "", own: "" };
  return step.entry;
}

function stampOf(step) {
  if (!isMarked(step)) return step.changed && !ownMark(step) ? "changed since the last check" : "";
  return ownMark(step) ? `${step.entry.mark} · ${step.entry.initials} ${step.entry.date}` : step.carriedStamp;
}

// Texts of steps, each once with its sections where these are not all of the line.
function bySection(row, textOf) {
  const found = new Map();
  for (const step of row.steps) {
    const text = textOf(step);
    if (text !== "") found.set(text, [...(found.get(text) ?? []), DATA.sections[step.section]]);
  }
  return [...found].map(([text, keys]) => [text, keys.length === row.steps.length ? "" : `${keys.join(", ")}: `]);
}

function paragraph(kind, text) {
  const made = document.createElement("p");
  made.className = kind;
  made.dir = "auto";
  made.textContent = text;
  return made;
}

function draw(row) {
  const marks = row.steps.map(markOf);
  for (const step of row.steps) {
    const cell = row.cells[step.section];
    cell.classList.toggle("agreed", markOf(step) === "agreed");
    cell.classList.toggle("query", markOf(step) === "query");
  }
  const whole = marks.every((mark) => mark === "agreed");
  row.element.classList.toggle("agreed", whole);
  row.element.classList.toggle("query", marks.includes("query"));
  row.box.textContent = marks.includes("query") ? "?" : whole ? "✓" : marks.includes("agreed") ? "▣" : "□";
  row.entered.replaceChildren(
    ...bySection(row, stampOf).map(([text, who]) => paragraph(text.startsWith("changed") ? "again" : "stamp", who + text)),
    ...bySection(row, (step) => (step.entry ? step.entry.comment : "")).flatMap(([text, who]) => [
      ...(who ? [paragraph("stamp", who)] : []), paragraph("paper", text),
    ]),
    ...row.steps.filter((step) => step.entry && step.entry.own.trim() !== "").map((step) => paragraph(
      "compared", `${MANY ? `${DATA.sections[step.section]}: ` : ""}own ${step.entry.own} ${step.unit}: ${deviation(step.value, step.entry.own)}`)),
  );
}

// ---- The panel of the line ------------------------------------------------------------------------------------------

// What all steps have in common, or null where they differ.
function common(list, textOf) {
  const texts = new Set(list.map(textOf));
  return texts.size === 1 ? [...texts][0] : null;
}

function show(row) {
  if (row !== here) only = -1;
  if (here && row !== here) here.element.tabIndex = -1;
  here = row;
  byId("panel").hidden = row === null;
  if (row === null) return;
  row.element.tabIndex = 0;
  const list = chosen(row);
  const mark = common(list, markOf);
  const comment = common(list, (step) => (step.entry ? step.entry.comment : ""));
  const single = list.length === 1 && list[0].value !== null ? list[0] : null;
  byId("line").textContent = `${row.number} ${row.element.querySelector(".title").firstChild.textContent}${single ? ` = ${single.printed}` : ""}`;
  byId("legend").textContent = `Check of ${row.number}`;
  for (const radio of byId("panel").elements.mark) radio.checked = radio.value === mark;
  if (MANY) {
    byId("of").value = only >= 0 ? String(only) : byId("section").value;
    for (const option of byId("of").options) option.disabled = option.value !== "" && !row.steps.some((step) => step.section === Number(option.value));
    for (const step of row.steps) row.cells[step.section].classList.toggle("chosen", list.length < row.steps.length && list.includes(step));
  }
  byId("comment").disabled = list.length === 0;
  if (byId("comment").value !== (comment ?? "")) byId("comment").value = comment ?? "";
  byId("comment").placeholder = comment === null ? "comments differ: choose a section" : "comment";
  byId("own").disabled = single === null;
  const typed = single && single.entry ? single.entry.own : "";
  if (byId("own").value !== typed) byId("own").value = typed;
  byId("unit").textContent = single ? single.unit : "";
  byId("deviation").textContent = single ? deviation(single.value, typed) : "";
}

// What is entered on this line is for one section alone, or for those of the page again.
function choose(section) {
  if (here === null || !MANY) return;
  if (section >= 0 && !here.steps.some((step) => step.section === section)) {
    say(section < DATA.sections.length ? `${here.number} has no value in section ${DATA.sections[section]}.` : "There is no such section.", true);
    return;
  }
  for (const cell of here.cells) cell.classList.remove("chosen");
  only = section;
  show(here);
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

function touched(list) {
  unsaved = true;
  for (const step of list) keep(step.key, step.entry);
  for (const row of new Set(list.map((step) => step.row))) draw(row);
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

// Set one mark at several steps; false where nobody has given initials for it.
function setMarks(list, mark) {
  const initials = byId("initials").value.trim();
  if (mark !== "none" && (initials === "" || !signs())) {
    show(here);
    say(initials === "" ? "Give your initials first; then mark the line." : "The initials must be those of the name.", true);
    byId("initials").focus();
    return false;
  }
  if (list.length === 0) return false;
  undone.push(list.map((step) => [step, step.entry && { ...step.entry }]));
  for (const step of list) {
    const entry = entryOf(step);
    entry.mark = mark;
    entry.initials = mark === "none" ? "" : initials;
    entry.date = mark === "none" ? "" : today();
  }
  touched(list);
  count();
  show(here);
  return true;
}

function setMark(row, mark) {
  const list = chosen(row);
  if (!setMarks(list, mark)) return false;
  const silent = mark === "query" && list.some((step) => step.entry.comment.trim() === "");
  const more = mark === "agreed" ? repeats(list).length : 0;
  say(silent ? `${nameOf(list[0])}: a query needs a comment.` : more ? `${more} ${more === 1 ? "value repeats" : "values repeat"} what is agreed: r shows them.` : "");
  return true;
}

// Take the last marks back; what was typed meanwhile stays.
function undo() {
  const last = undone.pop();
  if (!last) return say("There are no marks to undo.");
  for (const [step, before] of last) {
    const { mark, initials, date } = before ?? { mark: "", initials: "", date: "" };
    Object.assign(entryOf(step), { mark, initials, date });
    if (Object.values(step.entry).every((text) => text === "")) step.entry = null;
  }
  touched(last.map(([step]) => step));
  count();
  show(here);
  return say(`The marks of ${last.length} ${last.length === 1 ? "value" : "values"} are undone.`);
}

// ---- Filter and counts ----------------------------------------------------------------------------------------------

const SHOWN = {
  all: () => true,
  open: (step) => markOf(step) !== "agreed",
  query: (step) => markOf(step) === "query",
  changed: (step) => step.changed,
  differs: (step) => step.differs,
  failing: (step) => step.row.element.classList.contains("failing"),
  unconfirmed: (step) => step.recomputed !== true,
};

// A chapter is hidden as a whole: rows are touched only where they themselves come or go.
function filter() {
  leave();
  const wanted = SHOWN[byId("show").value];
  const chapter = byId("chapter").value;
  const section = limited();
  limit(section < 0 ? "" : String(section));
  let shown = 0;
  for (const one of chapters) {
    one.element.hidden = chapter !== "" && one.element.id !== chapter;
    if (one.element.hidden) continue;
    let any = false;
    for (const { part, rows: own } of one.parts) {
      let some = 0;
      for (const row of own) {
        const visible = row.steps.some((step) => (section < 0 || step.section === section) && wanted(step));
        if (row.element.hidden === visible) row.element.hidden = !visible;
        some += visible;
      }
      part.hidden = some === 0;
      any ||= some > 0;
      shown += some;
    }
    one.element.hidden = !any && (byId("show").value !== "all" || section >= 0);
  }
  if (here && !isShown(here)) show(null); // a key marks no line that is not shown
  say(shown ? "" : "No line is shown with this filter.");
}

function showAll() {
  leave();
  for (const name of ["show", "chapter", "section"]) if (byId(name)) byId(name).value = name === "show" ? "all" : "";
  filter();
}

function isShown(row) {
  return viewed ? viewed.has(row) : !row.element.hidden && !row.chapter.hidden;
}

function count() {
  const counts = { agreed: 0, query: 0, none: 0 };
  let changed = 0;
  for (const one of chapters) {
    let agreed = 0;
    let whole = 0;
    for (const row of one.rows) {
      for (const step of row.steps) {
        const mark = markOf(step);
        counts[mark] += 1;
        agreed += mark === "agreed";
        whole += 1;
        changed += step.changed && !ownMark(step);
      }
    }
    one.tally.textContent = whole ? `${agreed} of ${whole} agreed` : "";
  }
  byId("progress").max = steps.length || 1;
  byId("progress").value = counts.agreed;
  byId("counts").textContent =
    `${counts.agreed} of ${steps.length} values agreed, ${counts.query} ${counts.query === 1 ? "query" : "queries"}, ${counts.none} not checked` +
    (changed ? `, ${changed} changed since the last check` : "");
  countVerdicts();
}

function say(text, alarm = false) {
  byId("message").textContent = text;
  byId("message").classList.toggle("alarm", alarm);
}
