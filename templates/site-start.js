// Mouse, keys, printing, and how the page begins.

const touches = new Map(); // fingers and mouse buttons on the plan, by their numbers
let moved = 0;
let apart = 0;

const spread = () => {
  const [one, other] = [...touches.values()];
  return other ? Math.hypot(one.x - other.x, one.y - other.y) : 0;
};

canvas.addEventListener("pointerdown", (event) => {
  if (event.button) return;
  touches.set(event.pointerId, { x: event.offsetX, y: event.offsetY });
  canvas.setPointerCapture(event.pointerId);
  if (touches.size === 1) moved = 0;
  apart = spread();
});

canvas.addEventListener("pointermove", (event) => {
  const before = touches.get(event.pointerId);
  if (!before) return;
  const [x, y] = [event.offsetX - before.x, event.offsetY - before.y];
  touches.set(event.pointerId, { x: event.offsetX, y: event.offsetY });
  moved += Math.hypot(x, y);
  if (touches.size === 1) return pan(x, y);
  const now = spread();
  if (apart > 0 && now > 0) zoom(now / apart, event.offsetX, event.offsetY);
  apart = now;
});

canvas.addEventListener("pointerup", (event) => {
  if (!touches.delete(event.pointerId) || moved > 5 || touches.size) return;
  take(nearest(event.offsetX, event.offsetY), false);
});
canvas.addEventListener("pointercancel", (event) => touches.delete(event.pointerId));
canvas.addEventListener("wheel", (event) => {
  event.preventDefault();
  zoom(1.0015 ** -Math.max(-300, Math.min(300, event.deltaY)), event.offsetX, event.offsetY);
}, { passive: false });

const MAP_KEYS = {
  ArrowLeft: () => pan(80, 0), ArrowRight: () => pan(-80, 0), ArrowUp: () => pan(0, 80), ArrowDown: () => pan(0, -80),
  "+": () => zoom(1.5), "=": () => zoom(1.5), "-": () => zoom(1 / 1.5), 0: whole, n: () => step(1), p: () => step(-1),
  Enter: () => take(nearest(view.wide / 2, view.high / 2, Infinity), false),
};

canvas.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.altKey || event.metaKey || !Object.hasOwn(MAP_KEYS, event.key)) return;
  event.preventDefault();
  MAP_KEYS[event.key]();
});

document.addEventListener("keydown", (event) => {
  if (event.key === "Escape" && taken >= 0) take(-1);
  if (event.key !== "/" || event.ctrlKey || event.altKey || event.metaKey || event.target.matches("input")) return;
  event.preventDefault();
  byId("search").focus();
});

document.addEventListener("click", (event) => {
  const button = event.target.closest("button[data-column]");
  if (button) take(Number(button.dataset.column));
});

for (const [name, act] of Object.entries({ in: () => zoom(1.5), out: () => zoom(1 / 1.5), whole, all: showAll, print: () => window.print() })) byId(name).addEventListener("click", act);
byId("filter").addEventListener("submit", (event) => {
  event.preventDefault();
  if (!listed.columns.length) return;
  byId("plan").scrollIntoView({ block: "nearest" });
  take(listed.columns[0]);
});
byId("filter").addEventListener("change", filter);
byId("search").addEventListener("input", filter);

// On paper the plan has the shape of its place in the style sheet and finer points; what was seen stays in view. The
// non-conformities stand together up to a thousand.
const PAPER = { wide: 1108, high: 472, fine: 3 }; // 277 mm by 118 mm
let seen = null;

window.addEventListener("beforeprint", () => {
  seen = { ...view };
  view.scale *= Math.min(PAPER.wide / view.wide, PAPER.high / view.high);
  paper(PAPER.wide, PAPER.high, PAPER.fine);
  draw();
  if (RECORDS) fill("findings", PRINTED);
});
window.addEventListener("afterprint", () => {
  Object.assign(view, seen);
  fit();
  draw();
  if (RECORDS) fill("findings");
});

makeStates();
makeItems();
if (RECORDS) {
  daysChart(RECORDS.progress);
  for (const one of RECORDS.items) byId("items").tBodies[0].append(row([one.title, one.judged, one.failed, one.why_not], ["", "n", "n"]));
}
if (DATA.readings) makeCharts();
byId("card").classList.add("empty");
new ResizeObserver(() => { if (!window.matchMedia("print").matches) { fit(); draw(); } }).observe(canvas);
fit();
filter();
document.documentElement.dataset.ready = "yes";
