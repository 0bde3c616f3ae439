// Measuring a room by walking it: the plan grows above, the keypad is below, and a list of the same beside it.

import { h } from "./dom.js";
import { formatLength, inWords, readLength, withKey, withoutLast } from "./lengths.js";
import { drawPlan } from "./plan.js";
import {
  KINDS, Steps, asTexts, changed, closeRoom, closing, emptyRoom, endWall, isClosed, letter, misclosure, misfit, put, rowInWords, smallUnitOf, without,
} from "./walk.js";

const FEET_KEYS = [["7", "8", "9", "1/2", "'"], ["4", "5", "6", "1/4", '"'], ["1", "2", "3", "1/8", "1/16"]];
const METER_KEYS = [["7", "8", "9"], ["4", "5", "6"], ["1", "2", "3"]];
const KEY_NAMES = { "'": "feet", '"': "inches" };
const NAMES = ["Kitchen", "Bath", "Bedroom", "Living room", "Hall"];
const SIZES = {
  door: { width: ['28"', '30"', '32"', '36"'], height: ['80"', '84"'] },
  window: { width: ['24"', '30"', '36"', '48"'], height: ['36"', '48"', '60"'], sill: ['30"', '36"', '42"'] },
  cased: { width: ['32"', '36"', '48"', '60"'], height: ['80"', '84"'] },
  cabinets: { depth: ['12"', '24"'], height: ['30"', '36"', '84"'] },
  tub: { length: ['60"'], depth: ['30"', '32"'] },
  island: { depth: ['36"', '42"'] },
  other: {},
};
const FIELD_NAMES = {
  width: "Width", height: "Height", sill: "Sill", length: "Length", depth: "Depth", offset: "From the wall's start", recess: "Depth into doorway", name: "Name",
};
const TICKS = { off_floor: "Floor stops at it", off_base: "No base along it", off_walls: "Wall behind it is left out" };

// `begun` is what was begun of this room; `keepBegun` keeps each step, `finish` hands over what is sent.
export function measurePage(page, { begun, metric, height, title, keepBegun, finish, leave }) {
  let steps = begun ? new Steps(begun.room, begun.past, begun.future) : new Steps(emptyRoom(metric, height));
  let chosen = null; // a row, by list and index
  let asking = null; // which of its sizes the keypad types
  let angle = false;
  let onto = 0; // the wall of a closed room that something is put on
  let last = "";

  const plan = h("div", { class: "walk-drawing" });
  const said = h("p", { class: "walk-said second", role: "status" });
  const length = h("input", { id: "walk-length", inputmode: "none", autocomplete: "off", enterkeyhint: "next", spellcheck: "false", maxlength: "40" });
  const lengthLabel = h("label", { for: "walk-length", class: "walk-ask" });
  const reading = h("span", { class: "walk-reading second" });
  const keys = h("div", { class: "walk-keys" });
  const corner = button("Corner right ›", () => (asking ? size(length.value) : take("right")), "walk-go walk-next");
  const above = h("div", { class: "walk-row" });
  const below = h("div", { class: "walk-turns" });
  const typed = h("div", { class: "walk-typed" }, lengthLabel, length, reading);
  const list = h("section", { class: "walk-list", "aria-label": "The room as a list" });
  page.replaceChildren(
    h("h1", { class: "hidden-label" }, title),
    h("div", { class: "walk" },
      h("div", { class: "walk-plan-part" }, plan, said),
      h("div", { class: "walk-pad" }, typed, above, keys, below)),
    list,
  );

  const room = () => steps.room;
  const bare = () => (asking ? smallUnitOf(room()) : room().metric ? "m" : "ft");
  const typedNm = () => (length.value ? readLength(length.value, bare()) : null);

  async function step(next) {
    steps = next instanceof Steps ? next : steps.take(next);
    length.value = "";
    angle = false;
    draw();
    await keepBegun({ room: steps.room, past: steps.past, future: steps.future, metric, title });
  }

  function say(words) {
    last = words;
    said.textContent = words;
  }

  function take(turn, degrees = "") {
    if (!length.value) return say(`Type the length of wall ${letter(room().walls.length)} first.`);
    if (!typedNm()) return say(`${length.value} can't be read as a length. Type it such as ${metric ? "3.82" : `12' 6 1/2"`}.`);
    last = "";
    return step(endWall(room(), length.value, turn, degrees));
  }

  // What is put on the wall stands where he typed that he stands, and its sizes are asked for next.
  function stand(kind) {
    if (length.value && !typedNm()) return say(`${length.value} can't be read as a length.`);
    const { list: rows } = KINDS[kind];
    const offset = length.value && kind !== "island" ? length.value : "";
    const wall = isClosed(room()) ? onto : room().walls.length;
    const next = put(room(), kind, offset ? { offset: withMark(offset) } : {}, wall);
    chosen = { list: rows, index: next[rows].length - 1 };
    asking = rows === "fixed" ? "length" : "width";
    last = "";
    return step(next);
  }

  function withMark(text) { // a place along a wall is typed as the wall is
    const nm = readLength(text, room().metric ? "m" : "ft");
    return nm ? formatLength(nm, room().metric) : text;
  }

  function size(value) {
    if (!value) return say("Type the size first, or tap one of those offered.");
    if (!readLength(value, smallUnitOf(room()))) return say(`${value} can't be read as a length.`);
    const { list: rows, index } = chosen;
    const row = room()[rows][index];
    const text = /^[\d.]+$/.test(value) ? `${value}${room().metric ? " cm" : '"'}` : value;
    const next = changed(room(), rows, index, { [asking]: text });
    last = "";
    const order = rows === "fixed" ? ["length", "depth", "height"] : ["width", "height", ...(row.kind === "window" ? ["sill"] : [])];
    const following = order[order.indexOf(asking) + 1];
    // Sizes taken from the last of its kind, or usual ones, needn't be typed again: the wall goes on.
    if (following && !row[following]) asking = following;
    else done();
    return step(next);
  }

  function done() {
    chosen = null;
    asking = null;
  }

  function undo() {
    if (length.value) {
      length.value = withoutLast(length.value);
      return read();
    }
    done();
    return step(steps.undo());
  }

  function read() {
    const nm = typedNm();
    reading.textContent = nm ? inWords(nm, room().metric) : length.value ? "can't be read yet" : "";
    drawDrawing();
  }

  function button(text, act, name = "walk-key", label = null) {
    return h("button", { type: "button", class: name, "aria-label": label, onclick: act, onpointerdown: (event) => event.preventDefault() }, text);
  }

  function drawDrawing() {
    const svg = drawPlan(room(), asking ? null : typedNm(), chosen);
    svg.addEventListener("click", ({ target }) => {
      const item = target.closest("[data-item]")?.dataset.item.split(" ");
      if (item) open(item[0], Number(item[1]));
    });
    plan.replaceChildren(svg);
  }

  function key(text) {
    return button(text === "'" ? "′ ft" : text === '"' ? "″ in" : text, () => {
      length.value = withKey(length.value, text);
      last = "";
      said.textContent = state();
      read();
    }, /\d$/.test(text) && !text.includes("/") ? "walk-key" : "walk-key walk-mark", KEY_NAMES[text]);
  }

  function state() {
    if (last) return last;
    if (misfit(room())) return misfit(room());
    if (!room().walls.length) return "Walk clockwise along the inside faces, from any corner.";
    if (isClosed(room())) return room().balanced && misclosure(room()) ? `The difference is spread over the walls: ${misclosure(room())}.` : "The room is closed.";
    const walls = closing(room());
    if (walls?.length === 2) return "Two more walls close the room.";
    if (walls?.length === 1) return "One more wall closes the room.";
    const error = misclosure(room());
    return error && room().walls.length > 3 ? `Not closed yet: ${error}.` : "";
  }

  function drawRows() {
    const closed = isClosed(room());
    const wall = letter(room().walls.length);
    keys.hidden = closed && !asking;
    typed.hidden = keys.hidden;
    corner.textContent = asking ? `Keep the ${FIELD_NAMES[asking].toLowerCase()}` : "Corner right ›";
    if (asking) {
      corner.className = "walk-go walk-next";
      const row = room()[chosen.list][chosen.index];
      lengthLabel.textContent = `${KINDS[row.kind].label}: ${FIELD_NAMES[asking].toLowerCase()}`;
      const sizes = room().metric ? [] : SIZES[row.kind]?.[asking] ?? [];
      above.replaceChildren(...sizes.map((text) => button(text, () => size(text), "walk-size")));
      below.replaceChildren(button("As it is", () => { done(); draw(); }, "walk-size"));
      return;
    }
    lengthLabel.textContent = closed ? "Closed" : `Wall ${wall}`;
    const kinds = ["door", "window", "cased", "cabinets", "tub", ...(closed ? ["island"] : []), "other"];
    above.replaceChildren(...kinds.map((kind) => button(kind === "door" && !closed ? "Door here" : KINDS[kind].label, () => stand(kind), "walk-size")));
    if (closed) above.prepend(ontoWhich());
    if (closed) {
      below.replaceChildren(...finishing());
      return;
    }
    const walls = closing(room());
    const turns = [];
    corner.className = walls && !length.value ? "walk-key walk-mark walk-next" : "walk-go walk-next";
    if (walls && !length.value) {
      const words = walls.map(({ nm }) => formatLength(nm, room().metric)).join(" and ");
      turns.push(button(`Close the room: ${words}`, () => step(closeRoom(room())), "walk-go walk-wide"));
    }
    turns.push(
      button("‹ Corner left", () => take("left"), "walk-size"),
    );
    if (angle) {
      const degrees = h("input", { id: "walk-degrees", inputmode: "decimal", value: "45", autocomplete: "off", size: "4" });
      turns.push(
        h("p", { class: "walk-angle walk-wide" }, h("label", { for: "walk-degrees" }, "Degrees that you turn"), degrees),
        button("Left by it", () => turnBy("left-by", degrees.value), "walk-size"),
        button("Right by it", () => turnBy("right-by", degrees.value), "walk-size"),
        button("Straight on", () => take("straight"), "walk-size"),
      );
    } else turns.push(button("45° or other", () => { angle = true; drawRows(); }, "walk-size"));
    if (misclosure(room()) && room().walls.length > 3 && !walls) turns.push(button("Balance the difference over the walls", () => step({ ...room(), balanced: true }), "walk-size walk-wide"));
    below.replaceChildren(...turns);
  }

  function ontoWhich() {
    onto = Math.min(onto, room().walls.length - 1);
    const walls = room().walls.map((_, wall) => h("option", { value: String(wall), selected: wall === onto }, `Wall ${letter(wall)}`));
    return h("p", { class: "walk-angle walk-wide" }, h("label", { for: "walk-onto" }, "Put on"), h("select", { id: "walk-onto", onchange: ({ target }) => { onto = Number(target.value); } }, walls));
  }

  function turnBy(turn, degrees) {
    if (!(Number(degrees) > 0 && Number(degrees) < 180)) return say("Type the degrees of the turn, more than 0 and less than 180.");
    return take(turn, degrees);
  }

  // What a closed room still needs: its name, the ceiling, boxes and lights.
  function finishing() {
    const field = (name, label, value, attributes = {}) => h("p", { class: "field" }, h("label", { for: `room-${name}` }, label),
      h("input", { id: `room-${name}`, value, autocomplete: "off", ...attributes, onchange: ({ target }) => step({ ...room(), [name]: target.value }) }));
    const count = (name, label) => h("div", { class: "walk-count", role: "group", "aria-label": label },
      h("span", {}, label), button("−", () => step({ ...room(), [name]: Math.max(0, Number(room()[name]) - 1) }), "walk-size", `One of ${label.toLowerCase()} less`),
      h("output", {}, String(room()[name])), button("+", () => step({ ...room(), [name]: Number(room()[name]) + 1 }), "walk-size", `One of ${label.toLowerCase()} more`));
    return [
      h("div", { class: "walk-finish walk-wide" },
        room().name ? null : h("div", { class: "walk-row", role: "group", "aria-label": "Names" }, NAMES.map((name) => button(name, () => step({ ...room(), name }), "walk-size"))),
        field("name", "Room", room().name, { maxlength: "80" }),
        field("height", "Ceiling height", room().height, { inputmode: "text" }),
        count("boxes", "Switches and outlets"), count("lights", "Ceiling lights"),
        field("notes", "Notes", room().notes, { maxlength: "2000" })),
      button("Keep the room", keepRoom, "walk-go walk-wide"),
    ];
  }

  async function keepRoom() {
    if (!room().name.trim()) return say("Type what the room is called, or tap a name.");
    if (!readLength(room().height, bare())) return say(`Type the ceiling height, such as ${metric ? "2.44" : "8'"}.`);
    const without = room().fixed.findIndex((row) => !row.length || !row.depth);
    if (without >= 0) return say(`${rowInWords(room(), "fixed", without)}. Type its size, or remove it.`);
    return finish(asTexts(room()), room());
  }

  // A row of the list, or of the drawing, with all that it holds.
  function open(rows, index) {
    const which = document.getElementById("walk-onto");
    if (rows === "walls" && which) {
      onto = index;
      which.value = String(index);
    }
    list.querySelectorAll("details").forEach((details) => { details.open = details.dataset.item === `${rows} ${index}`; });
    const opened = list.querySelector(`details[data-item="${rows} ${index}"]`);
    opened?.querySelector("input, select")?.focus();
    opened?.scrollIntoView({ block: "nearest" });
  }

  function drawList() {
    const rows = ["walls", "openings", "fixed"].flatMap((name) => room()[name].map((_, index) => editor(name, index)));
    list.replaceChildren(
      h("h2", {}, "The room as a list"),
      rows.length ? h("div", {}, rows) : h("p", { class: "second" }, "Nothing yet."),
      h("p", { class: "toolbar" },
        h("button", { type: "button", class: "button-plain", onclick: () => { done(); step(steps.undo()); }, disabled: !steps.past.length }, "Undo the last step"),
        h("button", { type: "button", class: "button-plain", onclick: () => { done(); step(steps.redo()); }, disabled: !steps.future.length }, "Redo"),
        h("button", { type: "button", class: "button-plain", onclick: leave }, "Leave it as begun")),
    );
  }

  function editor(rows, index) {
    const row = room()[rows][index];
    const ident = `${rows}-${index}`;
    const set = (name, value) => step(changed(room(), rows, index, { [name]: value }));
    const text = (name, label) => h("p", { class: "field" }, h("label", { for: `${ident}-${name}` }, label),
      h("input", { id: `${ident}-${name}`, value: row[name] ?? "", autocomplete: "off", maxlength: "60", onchange: ({ target }) => set(name, target.value) }));
    const choice = (name, label, options, value, read = (each) => each) => h("p", { class: "field" }, h("label", { for: `${ident}-${name}` }, label),
      h("select", { id: `${ident}-${name}`, onchange: ({ target }) => set(name, read(target.value)) },
        options.map(([key, words]) => h("option", { value: key, selected: key === value }, words))));
    const walls = room().walls.map((_, wall) => [String(wall), letter(wall)]);
    if (!isClosed(room())) walls.push([String(room().walls.length), letter(room().walls.length)]);
    const fields = rows === "walls"
      ? [text("length", "Length"), choice("turn", "Then turn", [["right", "right"], ["left", "left"], ["straight", "straight on"], ["right-by", "right by degrees"], ["left-by", "left by degrees"]], row.turn), text("degrees", "Degrees")]
      : [
        choice("wall", "Wall", rows === "fixed" ? [["", "stands free"], ...walls] : walls, row.wall === null ? "" : String(row.wall), (each) => (each === "" ? null : Number(each))),
        ...(rows === "openings" ? ["width", "height", "sill", "offset", "recess", "name"] : ["length", "depth", "height", "offset", "name"]).map((name) => text(name, FIELD_NAMES[name])),
        ...(rows === "fixed" ? Object.entries(TICKS).map(([name, label]) => h("p", { class: "field-check" },
          h("input", { type: "checkbox", id: `${ident}-${name}`, checked: row[name] ?? name === "off_base", onchange: ({ target }) => set(name, target.checked) }), h("label", { for: `${ident}-${name}` }, label))) : []),
      ];
    return h("details", { class: "entry-fold", "data-item": `${rows} ${index}`, open: chosen?.open && chosen.list === rows && chosen.index === index },
      h("summary", {}, rowInWords(room(), rows, index)), h("div", { class: "walk-edit" }, fields),
      h("button", { type: "button", class: "button-plain", onclick: () => { done(); step(without(room(), rows, index)); } }, "Remove"));
  }

  function draw() {
    const focused = document.activeElement?.id;
    drawRows();
    drawList();
    said.textContent = state();
    read();
    const again = focused && document.getElementById(focused);
    if (again && again !== length) again.focus({ preventScroll: true });
    else if (!isClosed(room())) length.focus({ preventScroll: true });
  }

  const rowsOfKeys = metric ? METER_KEYS : FEET_KEYS;
  keys.classList.toggle("walk-metric", metric);
  keys.append(...rowsOfKeys.flat().map(key), key("0"), key("."), button("undo", undo, "walk-key walk-mark", "Undo"), corner);
  length.addEventListener("input", () => { last = ""; read(); });
  length.addEventListener("keydown", (event) => {
    if (event.key !== "Enter") return;
    event.preventDefault(); // a laser meter ends its value so: the next wall
    if (asking) size(length.value);
    else take("right");
  });
  draw();
  return { rooms: () => steps.room };
}
