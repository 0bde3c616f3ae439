// The plan of a room is its form: what is tapped there is changed in its row, and the row that he is in is marked
// on the plan. Each change can be undone and done again. Works beside a form that works without it.

const form = document.querySelector(".room-form");
const fields = document.getElementById("room-fields");
const sketch = document.getElementById("room-sketch");

// Tapped on the plan

const SHAPES = { // which field holds the length of each wall
  rectangle: ["length", "width", "length", "width"],
  l: ["length", "width", "cut_length", "cut_width", "cut_length", "cut_width"],
};
const COUNTED = { // a field of a row that counts holds something
  walls: ["length", "degrees"], openings: ["width", "height"], fixed: ["length", "depth"], heights: ["offset", "height"], electrical: ["offset", "away"],
};
const KINDS = { columns: (kind) => kind === "column", soffits: (kind) => kind === "soffit", footprints: (kind) => kind !== "column" && kind !== "soffit" };

const named = (name) => form.elements.namedItem(name);

// The rows of a list that count, each by its number, as the plan counts what it draws.
function rowsOf(list) {
  const rows = Number(named(`${list}-TOTAL_FORMS`)?.value ?? 0);
  return Array.from({ length: rows }, (_, row) => row).filter((row) => COUNTED[list].some((field) => named(`${list}-${row}-${field}`)?.value.trim()));
}

function fieldOf(item) {
  const [what, number] = item.split(" ");
  const shape = named("shape").value;
  if (what === "walls" && shape in SHAPES) return named(SHAPES[shape][number]);
  const list = what in KINDS ? "fixed" : what;
  const rows = rowsOf(list).filter((row) => !(what in KINDS) || KINDS[what](named(`fixed-${row}-kind`).value));
  const field = { walls: "length", openings: "width", heights: "height", electrical: "offset" }[list] ?? "length";
  return named(`${list}-${rows[number]}-${field}`) ?? null;
}

sketch.addEventListener("click", ({ target }) => {
  const item = target.closest("[data-item]")?.dataset.item;
  const field = item && fieldOf(item);
  if (!field) return;
  const fold = field.closest("details");
  if (fold) fold.open = true;
  field.focus({ preventScroll: true });
  field.select?.();
  field.closest("[role=group], .field")?.scrollIntoView({ block: "center" });
});

// The row that he is in, on the plan.
function mark() {
  const row = document.activeElement?.closest?.("[role=group], .field");
  for (const drawn of sketch.querySelectorAll("[data-item]")) {
    const field = row && fieldOf(drawn.dataset.item);
    drawn.classList.toggle("plan-here", Boolean(field && row.contains(field)));
  }
}

// Thin lines are as broad for a finger as they need to be.
function broaden() {
  for (const line of sketch.querySelectorAll("line.plan-wall[data-item]")) {
    const broad = line.cloneNode();
    broad.setAttribute("class", "plan-hit");
    line.after(broad);
  }
  for (const group of sketch.querySelectorAll("g[data-item]")) {
    const { x, y, width, height } = group.getBBox();
    const broad = document.createElementNS("http://www.w3.org/2000/svg", "rect");
    const box = { class: "plan-broad", x: x - 5, y: y - 5, width: width + 10, height: height + 10 };
    for (const [name, value] of Object.entries(box)) broad.setAttribute(name, value);
    group.append(broad);
  }
  mark();
}

fields.addEventListener("focusin", mark);
sketch.addEventListener("htmx:afterSwap", broaden);
broaden();

// Undo and redo

const undo = document.getElementById("room-undo");
const redo = document.getElementById("room-redo");
const OURS = new Set(["csrfmiddlewaretoken", "form_key", "form_opened", "rows"]);
const state = () => JSON.stringify([...new FormData(form)].filter(([name]) => !OURS.has(name)));
const past = [];
const future = [];
let now = state();

function showSteps() {
  undo.disabled = !past.length;
  redo.disabled = !future.length;
}

function note() {
  const then = now;
  now = state();
  if (then === now) return;
  past.push(then);
  future.length = 0;
  showSteps();
}

// Puts an earlier state back: into the fields that are there, or, where the number of rows is another, into a
// form made anew by the server from it. Nothing is saved by it.
async function restore(text) {
  const wanted = JSON.parse(text);
  const names = (pairs) => JSON.stringify(pairs.filter(([name]) => /-TOTAL_FORMS$/.test(name)));
  if (names(wanted) !== names(JSON.parse(state()))) await rebuild(wanted);
  const values = new Map();
  for (const [name, value] of wanted) values.set(name, value);
  for (const field of form.elements) {
    if (!field.name || OURS.has(field.name) || field.type === "hidden") continue;
    if (field.type === "checkbox") field.checked = values.has(field.name);
    else if (field.type === "radio") field.checked = values.get(field.name) === field.value;
    else field.value = values.get(field.name) ?? "";
  }
  now = state();
  fields.dispatchEvent(new Event("input", { bubbles: true })); // the plan is drawn anew
}

async function rebuild(wanted) {
  const sent = new FormData(form);
  for (const name of new Set(sent.keys())) if (!OURS.has(name)) sent.delete(name);
  for (const [name, value] of wanted) sent.append(name, value);
  sent.set("rows", "draw");
  const answer = await fetch(location.href, { method: "POST", body: new URLSearchParams(sent), headers: { Accept: "text/html" } });
  const page = new DOMParser().parseFromString(await answer.text(), "text/html");
  if (!page.getElementById(fields.id)) throw new Error("No form came.");
  for (const part of fields.querySelectorAll("fieldset[id]")) {
    const made = page.getElementById(part.id);
    if (!made) continue;
    part.replaceWith(made);
    window.htmx.process(made);
  }
}

// One after another, however fast he taps.
let turn = Promise.resolve();
function go(from, to) {
  turn = turn.then(async () => {
    if (!from.length) return;
    const left = now;
    await restore(from.at(-1));
    from.pop();
    to.push(left);
    showSteps();
  }).catch(() => {}); // the server wasn't reached: the step stays, to be tried again
}

for (const button of [undo, redo]) button.hidden = false;
showSteps();
fields.addEventListener("change", note);
fields.addEventListener("htmx:afterSettle", note);
undo.addEventListener("click", () => { turn = turn.then(note); go(past, future); });
redo.addEventListener("click", () => go(future, past));
