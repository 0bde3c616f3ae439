// The room as a list, beside the drawing: the same things for keyboard and screen reader, each with all its
// fields.

import { h } from "./dom.js";
import { ENDS, FIELDS, LISTS, RUN, TICKS, fieldName, ofRun } from "./kinds.js";
import { isClosed, letter, rowInWords } from "./walk.js";

const TURNS = [["right", "right"], ["left", "left"], ["straight", "straight on"], ["right-by", "right by degrees"], ["left-by", "left by degrees"]];
const FREE = ["", "stands free"];

// `set` changes the fields of a row, `remove` takes it out.
export function listOf(room, { set, remove }) {
  const rows = LISTS.flatMap((list) => room[list].map((_, index) => editor(room, list, index, { set, remove })));
  return rows.length ? h("div", {}, rows) : h("p", { class: "second" }, "Nothing yet.");
}

function editor(room, list, index, { set, remove }) {
  const row = room[list][index];
  const id = (name) => `${list}-${index}-${name}`;
  const field = (name, label, input) => h("p", { class: "field" }, h("label", { for: id(name) }, label), input);
  const text = (name, label) => field(name, label, h("input", { id: id(name), value: row[name] ?? "", autocomplete: "off", maxlength: name === "units" ? "600" : "60", onchange: ({ target }) => set(list, index, { [name]: target.value }) }));
  const choice = (name, label, options, value, read = (each) => each) => field(name, label, h("select", { id: id(name), onchange: ({ target }) => set(list, index, { [name]: read(target.value) }) },
    options.map(([key, words]) => h("option", { value: key, selected: key === value }, words))));
  const tick = (name) => h("p", { class: "field-check" },
    h("input", { type: "checkbox", id: id(name), checked: row[name] ?? name === "off_base", onchange: ({ target }) => set(list, index, { [name]: target.checked }) }), h("label", { for: id(name) }, TICKS[name]));
  const walls = room.walls.map((_, wall) => [String(wall), letter(wall)]);
  if (!isClosed(room)) walls.push([String(room.walls.length), letter(room.walls.length)]);
  const wall = () => choice("wall", "Wall", list === "fixed" ? [FREE, ...walls] : walls, row.wall === null ? "" : String(row.wall), (each) => (each === "" ? null : Number(each)));
  const fields = list === "walls" ? [text("length", "Length"), choice("turn", "Then turn", TURNS, row.turn), text("degrees", "Degrees")]
    : FIELDS[list].filter((name) => name !== "kind" && (!RUN.includes(name) || row[name] || ofRun(row.kind).includes(name))).map((name) => (name === "wall" ? wall() : name === "finished_ends" ? choice(name, fieldName(list, row, name), ENDS, row[name] ?? "") : name in TICKS ? tick(name) : text(name, fieldName(list, row, name))));
  return h("details", { class: "entry-fold", "data-item": `${list} ${index}` },
    h("summary", {}, rowInWords(room, list, index)), h("div", { class: "walk-edit" }, fields),
    h("button", { type: "button", class: "button-plain", onclick: () => remove(list, index) }, "Remove", h("span", { class: "hidden-label" }, ` ${rowInWords(room, list, index)}`)));
}
