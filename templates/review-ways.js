// Ways through the lines: what a verdict descends from, what repeats an agreed line, a block at once.

const verdicts = DATA.verdicts.map((compared, index) => readVerdict(compared.map((place) => steps[place]), index));
const followable = verdicts.filter((verdict) => verdict.lines.length > 0);
const seen = new Set(); // lines with their numbers that have been on the screen
let viewed = null; // the rows that a view shows in its own order; null on the whole page
let leaving = null; // what is done when the view is left
let offering = false; // whether the view offers repeats

function readVerdict(compared, index) {
  const element = document.querySelector(`[data-verdict="${index}"]`);
  const found = new Set(compared);
  for (const step of found) for (const place of step.inputs) found.add(steps[place]);
  const state = element.querySelector(".state").textContent;
  return { element, title: element.dataset.title, state, section: compared[0]?.section ?? -1, compared, lines: [...found], text: element.querySelector(".followed") };
}

function named(verdict) {
  return `${MANY ? `${DATA.sections[verdict.section]} · ` : ""}${verdict.title}`;
}

// A verdict is followed when every line that it descends from has a mark; what the program evaluated is none.
function countVerdicts() {
  let whole = 0;
  for (const verdict of followable) {
    const marked = verdict.lines.reduce((sum, step) => sum + isMarked(step), 0);
    whole += marked === verdict.lines.length;
    const text = marked === verdict.lines.length ? "✓ followed to its inputs" : `${marked} of ${verdict.lines.length} lines have a mark`;
    if (verdict.text.textContent !== text) verdict.text.textContent = text;
    verdict.option.textContent = `${marked === verdict.lines.length ? "✓ " : ""}${named(verdict)} (${verdict.state})`;
  }
  byId("followed").textContent = `${whole} of ${followable.length} verdicts followed to their inputs.`;
}

// ---- Views ----------------------------------------------------------------------------------------------------------

// Show these rows alone, in this order, each under the head of its block; `end` is done when the view is left.
function view(title, texts, list, end, section = limited()) {
  leave();
  viewed = new Set(list);
  leaving = end;
  if (here && !viewed.has(here)) show(null);
  byId("viewed").textContent = title;
  byId("viewtext").replaceChildren(...texts);
  let part = null;
  let into = null;
  const made = document.createDocumentFragment();
  for (const row of list) {
    if (row.part !== part || into === null) {
      part = row.part;
      into = document.createElement("ol");
      const block = document.createElement("div");
      block.className = "part";
      const head = part.querySelector(".head").cloneNode(true);
      for (const at of head.querySelectorAll(".at")) {
        const keys = at.dataset.of.split(", ");
        at.hidden = section >= 0 && keys[0] !== "" && !keys.includes(DATA.sections[section]);
      }
      block.append(head, ...[...part.querySelectorAll(":scope > .heads")].map((one) => one.cloneNode(true)), into);
      made.append(block);
    }
    row.element.hidden = false;
    into.append(row.element);
  }
  for (const block of made.children) reserve(block, block.lastChild.children.length);
  byId("viewlines").append(made);
  byId("view").hidden = false;
  document.body.classList.add("viewing");
  window.scrollTo(0, 0);
  byId("viewed").focus({ preventScroll: true });
}

// The room of a block until it has been laid out once.
function reserve(block, lines) {
  block.style.containIntrinsicSize = `auto ${ROW_HEIGHT * lines}px`;
}

// Back to the whole page: every row to its place.
function leave() {
  if (viewed === null) return;
  const left = new Set([...viewed].map((row) => row.part));
  for (const { part, rows: own } of chapters.flatMap((one) => one.parts)) {
    if (left.has(part)) part.querySelector("ol").append(...own.map((row) => row.element));
  }
  viewed = null;
  byId("view").hidden = true;
  byId("viewlines").replaceChildren();
  byId("viewtext").replaceChildren();
  document.body.classList.remove("viewing");
  byId("verdict").value = "";
  const end = leaving;
  leaving = null;
  end?.();
}

function leaveView() {
  const row = here;
  leave();
  filter();
  if (row && isShown(row)) row.element.focus({ preventScroll: true });
  row?.element.scrollIntoView({ block: "center" });
}

// The lines that a verdict descends from: those that it compares first, each before those that it reads, inputs at the end.
function follow(verdict) {
  const before = MANY ? byId("section").value : "";
  const inner = verdict.lines.filter((step) => step.inputs.length > 0).sort((one, other) => other.order - one.order);
  const inputs = verdict.lines.filter((step) => step.inputs.length === 0).sort((one, other) => one.place - other.place);
  const list = [...new Set([...inner, ...inputs].map((step) => step.row))];
  const card = verdict.element.cloneNode(true);
  card.removeAttribute("id");
  card.querySelector(".follow").remove();
  card.querySelector(".followed").remove();
  card.querySelector(".asked")?.remove();
  view(`Followed: ${named(verdict)}`, [
    card,
    paragraph("quiet", `${list.length} lines, from the verdict back: each line before those that it reads, ${inputs.length} inputs at the end. Esc leaves.`),
  ], list, () => limit(before), verdict.section);
  limit(String(verdict.section));
  byId("verdict").value = String(followable.indexOf(verdict));
}

// Limit the page to a section, whose numbers are then written out, or to none.
function limit(section) {
  if (!MANY) return;
  byId("section").value = section;
  const now = section === "" ? "" : `${Number(section) + 1}`;
  if ((document.body.dataset.section ?? "") === now) return;
  document.body.dataset.section = now;
  for (const row of rows) {
    row.mine?.remove();
    row.mine = null;
    const step = now && row.steps.find((one) => one.section === Number(section));
    if (row.given || !step || !step.numbers) continue;
    row.mine = paragraph("numbers mine", `${DATA.sections[step.section]} = ${step.numbers}`);
    const equation = row.element.querySelector(".equation");
    (equation ?? row.element.querySelector(".title")).after(row.mine);
  }
}

// ---- Values that repeat agreed ones ---------------------------------------------------------------------------------

// Which of these, all agreed, a step repeats: it has the equation and the printed numbers of one, or hands its value on.
function repeated(list) {
  const known = new Map();
  for (const step of list) {
    if (markOf(step) !== "agreed") continue;
    known.set(`place ${step.place}`, step);
    if (step.alike && !known.has(`${step.alike}`)) known.set(`${step.alike}`, step);
    if (step.alike) known.set(`${step.alike} ${step.section}`, step);
  }
  return (step) => known.get(`place ${step.taken}`) ?? known.get(`${step.alike} ${step.section}`) ?? known.get(`${step.alike}`);
}

// The steps without a mark that repeat one of these.
function repeats(list) {
  const first = repeated(list);
  return steps.filter((step) => !isMarked(step) && first(step));
}

function offerRepeats() {
  const found = repeats(steps);
  if (offering) {
    const list = found.filter((step) => viewed.has(step.row));
    if (setMarks(list, "agreed")) {
      leaveView();
      say(`${list.length} values agreed; u takes them back.`);
    }
    return;
  }
  if (found.length === 0) return say("No value without a mark repeats an agreed one.");
  const text = paragraph("quiet", "Each has the equation and the printed numbers of a line that you have agreed, is the same field of the project file, or hands on the printed value of an agreed line. r agrees them all, Esc leaves.");
  const list = [...new Set(found.map((step) => step.row))];
  const offered = new Set(found);
  const agreed = repeated(steps);
  const names = list.flatMap((row) => bySection(row, (step) => {
    const first = offered.has(step) ? agreed(step) : null;
    return first ? `${row.number} as ${first.section === step.section ? first.row.number : nameOf(first)}` : "";
  }).map(([words, who]) => who.replace(":", "") + words));
  view(`${found.length} ${found.length === 1 ? "value repeats an agreed one" : "values repeat agreed ones"}`, [text, paragraph("quiet", names.join(" · "))], list, () => { offering = false; });
  offering = true;
  return undefined;
}

// ---- A block at once ------------------------------------------------------------------------------------------------

const watcher = new IntersectionObserver((found) => {
  for (const one of found) {
    if (!one.isIntersecting || one.intersectionRatio < 0.5) continue;
    seen.add(rowOf.get(one.target));
    watcher.unobserve(one.target);
  }
}, { threshold: 0.5, rootMargin: "-100px 0px -60px 0px" }); // without what header and panel cover

// Agree the lines of the block that have no mark; not before the lines of its worked case have been on the screen.
function agreeBlock() {
  if (here === null) return say("Go to a line of the block first.");
  const block = rows.filter((row) => row.part === here.part && isShown(row));
  const unseen = block.filter((row) => !row.given && !seen.has(row));
  if (unseen.length > 0) {
    unseen[0].element.scrollIntoView({ block: "start" });
    return say(`${unseen.length} ${unseen.length === 1 ? "line" : "lines"} of the worked case not on the screen so far, from ${unseen[0].number} on: look at them, then b.`, true);
  }
  only = -1;
  const list = block.flatMap(chosen).filter((step) => !isMarked(step));
  if (list.length === 0) return say("Every line of this block has a mark.");
  if (setMarks(list, "agreed")) say(`${list.length} ${list.length === 1 ? "value" : "values"} of the block agreed; u takes them back.`);
  return undefined;
}

// Equation and numbers of a line for each section, where the line itself says them for one, or refers to another line.
function writeOut(row) {
  const old = row.element.querySelector(".written");
  if (old) return old.remove();
  const made = document.createElement("div");
  made.className = "written";
  const from = row.element.dataset.like;
  const equation = from && byId(from)?.querySelector(".equation");
  if (equation) made.append(equation.cloneNode(true));
  for (const step of chosen(row)) {
    made.append(paragraph("numbers", `${MANY ? `${DATA.sections[step.section]} ` : ""}${step.numbers ? `= ${step.numbers} ` : ""}= ${step.printed}`));
  }
  return row.element.querySelector(".body").append(made);
}
