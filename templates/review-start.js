// The review file, the keys, and how the page begins.

function reviewFile() {
  const found = steps.filter((step) => step.entry).map((step) => ({
    key: step.key, fingerprint: step.fingerprint, ...step.entry, own: step.entry.own.trim().replace("−", "-"),
  }));
  const by = { name: byId("name").value.trim(), initials: byId("initials").value.trim() };
  const { format, run, document: number, revision } = DATA;
  return { format, kind: "review", run, document: number, revision, by, steps: found };
}

function save() {
  for (const step of steps.filter((one) => one.entry)) {
    if (step.entry.mark === "query" && step.entry.comment.trim() === "") return refuse(step, "comment", "a query needs a comment");
    if (step.entry.own.trim() !== "" && !Number.isFinite(ownNumber(step.entry.own))) {
      return refuse(step, "own", "the own value is not a number");
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

function refuse(step, field, why) {
  go(step.row);
  if (step.row.steps.length > 1) choose(step.section);
  byId(field).focus();
  say(`Not saved: ${nameOf(step)}: ${why}.`, true);
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
  const read = [];
  for (const one of found.steps) {
    const step = steps[places.get(one?.key)];
    const entry = cleanEntry(one);
    if (!step || !entry) continue;
    step.entry = entry;
    read.push(step);
  }
  const left = found.steps.length - read.length;
  const before = unsaved;
  touched(read);
  unsaved = before;
  undone.length = 0;
  for (const name of ["name", "initials"]) {
    const value = found.by?.[name];
    if (typeof value === "string" && value !== "") byId(name).value = value.slice(0, byId(name).maxLength);
  }
  keepPerson();
  count();
  filter();
  show(here);
  return say(`${read.length} entries loaded` + (left ? `, ${left} could not be read.` : "."), left > 0);
}

function keepPerson() {
  keep("by", { name: byId("name").value, initials: byId("initials").value });
}

// ---- Keys -----------------------------------------------------------------------------------------------------------

function go(row) {
  if (!isShown(row)) showAll();
  row.element.focus({ preventScroll: true });
  row.element.scrollIntoView({ block: "center" });
}

// The next shown row from the current one in a direction that satisfies a condition.
function next(step, wanted = () => true) {
  const list = viewed ? [...viewed] : rows;
  const place = here && isShown(here) ? list.indexOf(here) : -1;
  let index = place >= 0 ? place + step : step > 0 ? 0 : list.length - 1;
  while (list[index] && !(isShown(list[index]) && wanted(list[index]))) index += step;
  if (list[index]) list[index].element.focus();
  else say("No further line in this direction.");
}

const KEYS = {
  j: () => next(1),
  k: () => next(-1),
  o: () => next(1, (row) => chosen(row).some((step) => markOf(step) !== "agreed")),
  a: () => here && setMark(here, "agreed"),
  q: () => here && setMark(here, "query") && byId("comment").focus(),
  n: () => here && setMark(here, "none"),
  b: agreeBlock,
  r: offerRepeats,
  u: undo,
  x: () => here && writeOut(here),
  c: () => here && byId("comment").focus(),
  v: ownValue,
  t: () => byId("verdict").focus(),
  f: () => byId("show").focus(),
  g: () => byId("chapter").focus(),
  i: () => byId("initials").focus(),
  s: save,
  "?": () => { byId("help").open = !byId("help").open; byId("help").scrollIntoView({ block: "center" }); },
};

// An own value belongs to one section.
function ownValue() {
  if (here === null) return;
  if (chosen(here).length > 1) choose(here.steps[0].section);
  byId("own").focus();
}

function onKey(event) {
  if (event.ctrlKey || event.altKey || event.metaKey) return;
  const field = event.target.closest("input:not([type=radio]), select, textarea");
  const row = here && isShown(here) ? here : (viewed ? [...viewed] : rows).find(isShown);
  if (event.key === "Escape") {
    if (viewed && !field && !event.target.closest("#panel")) leaveView();
    else if (row) row.element.focus();
  } else if (event.key === "Enter" && rowOf.has(event.target)) {
    (byId("panel").querySelector("[name=mark]:checked") ?? byId("panel").querySelector("[name=mark]")).focus();
  } else if (event.key === "Enter" && field && field.tagName !== "TEXTAREA") {
    event.preventDefault();
    if (row) row.element.focus();
  } else if (!field && Object.hasOwn(KEYS, event.key)) {
    event.preventDefault();
    KEYS[event.key]();
  } else if (!field && /^[0-9]$/.test(event.key)) {
    choose(Number(event.key) - 1);
  }
}

// A link may lead to a line that is not shown; a line that is clicked is the one that the panel is about.
function onClick(event) {
  const button = event.target.closest(".follow");
  if (button) return follow(verdicts[Number(button.closest(".verdict").dataset.verdict)]);
  const box = event.target.closest(".box");
  if (box) {
    const row = rowOf.get(box.closest(".row"));
    show(row);
    return setMark(row, chosen(row).every((step) => markOf(step) === "agreed") ? "none" : "agreed");
  }
  const link = event.target.closest('a[href^="#"]');
  const row = link && rowOf.get(byId(link.getAttribute("href").slice(1)));
  if (!row) return undefined;
  event.preventDefault();
  return go(row);
}

function onInput(event) {
  if (here === null || !event.target.closest("#panel")) return;
  const list = chosen(here);
  if (event.target.name === "mark") setMark(here, event.target.value);
  else if (event.target.id === "of") choose(event.target.value === "" ? -1 : Number(event.target.value));
  else {
    for (const step of list) entryOf(step)[event.target.id] = event.target.value;
    touched(list);
    if (list.length === 1) byId("deviation").textContent = deviation(list[0].value, list[0].entry.own);
  }
}

// ---- Beginning ------------------------------------------------------------------------------------------------------

for (const step of steps) {
  step.entry = cleanEntry(kept(step.key)) ?? cleanEntry(DATA.entries[step.key] ?? null);
}
for (const row of rows) if (row.steps.some((step) => step.entry || step.changed || isMarked(step))) draw(row);
const person = kept("by");
if (typeof person?.name === "string" && person.name !== "") byId("name").value = person.name;
if (typeof person?.initials === "string") byId("initials").value = person.initials;
for (const { part, rows: own } of chapters.flatMap((one) => one.parts)) reserve(part, own.length);
followable.forEach((verdict, index) => {
  verdict.option = new Option("", String(index));
  byId("verdict").add(verdict.option);
  verdict.element.querySelector(".follow").hidden = false;
});
const evaluated = steps.filter((step) => step.recomputed !== null);
byId("evaluated").textContent = `${evaluated.filter((step) => step.recomputed).length} of ${evaluated.length} values with an equation recomputed from printed numbers (no mark).`;
count();
document.addEventListener("input", onInput);
document.addEventListener("keydown", onKey);
document.addEventListener("click", onClick);
document.addEventListener("focusin", (event) => {
  const row = rowOf.get(event.target.closest(".row"));
  if (row) show(row);
});
for (const name of ["show", "chapter", "section"]) byId(name)?.addEventListener("change", () => { filter(); show(here); });
byId("verdict").addEventListener("change", () => {
  const verdict = followable[Number(byId("verdict").value)];
  if (byId("verdict").value === "" || !verdict) return leaveView();
  follow(verdict);
  return byId("verdict").focus();
});
for (const name of ["name", "initials"]) byId(name).addEventListener("input", keepPerson);
byId("panel").addEventListener("submit", (event) => event.preventDefault());
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
  const step = event.key?.startsWith(PREFIX) && steps[places.get(event.key.slice(PREFIX.length))];
  if (!step) return;
  step.entry = cleanEntry(kept(step.key));
  draw(step.row);
  count();
});
window.addEventListener("beforeunload", (event) => {
  if (unsaved) event.preventDefault();
});
new ResizeObserver(() => {
  // The names of the sections stay below the header, whatever its height.
  document.documentElement.style.setProperty("--top", `${document.querySelector("header").offsetHeight}px`);
}).observe(document.querySelector("header"));
if (rows.length) rows[0].element.tabIndex = 0;
for (const row of rows) if (!row.given) watcher.observe(row.element);
document.documentElement.dataset.ready = "yes";
