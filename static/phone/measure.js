// Measuring a room by walking it: the plan grows above, the keypad is below, and a list of the same beside it.
// What is tapped on the plan is changed by the same keypad.

import { h } from "./dom.js";
import { KINDS, SIZES, asked, fieldName, kindOf, labelOf } from "./kinds.js";
import { formatLength, inWords, readLength, withKey, withoutLast } from "./lengths.js";
import { ON_PAPER, asDataUrl, shrunk } from "./photos.js";
import { drawPlan } from "./plan.js";
import { listOf } from "./room_list.js";
import {
  Steps, asTexts, changed, closeRoom, closing, emptyRoom, endWall, isClosed, letter, misclosure, misfit, placeNear, put, rowInWords, smallUnitOf, unitOf, without,
} from "./walk.js";

const FEET_KEYS = [["7", "8", "9", "1/2", "'"], ["4", "5", "6", "1/4", '"'], ["1", "2", "3", "1/8", "1/16"]];
const METER_KEYS = [["7", "8", "9"], ["4", "5", "6"], ["1", "2", "3"]];
const KEY_NAMES = { "'": "feet", '"': "inches" };
const NAMES = ["Kitchen", "Bath", "Bedroom", "Living room", "Hall"];
const USUAL = ["door", "window", "cased", "cabinets", "other"];
const RARE = ["tub", "soffit", "niche", "ceiling"];
const PLACED = { outlet: "Outlets", switch: "Switches", light: "Lights", photo: "Photo of a spot" };

// `numbered` are the photos that the room has already, with `next` the number after the job's last. No undo takes
// a photo away. `begun` is what was begun of this room; `keepBegun` keeps each step, `finish` hands over what is sent.
export function measurePage(page, { begun, metric, height, title, numbered, keepBegun, finish, leave }) {
  const whole = (room) => ({ ...emptyRoom(metric), ...room }); // kept by a version that knew less
  let steps = begun ? new Steps(whole(begun.room), begun.past.map(whole), begun.future.map(whole)) : new Steps(emptyRoom(metric, height));
  let photos = begun?.photos ?? []; // taken here, not sent yet
  let chosen = null; // a row, by list and index
  let asking = null; // which of its sizes the keypad types
  let angle = false;
  let more = false; // the rarer things are offered
  let placing = null; // what a tap on the plan puts there: a kind, or the island that moves there
  let onto = 0; // the wall of a closed room that something is put on
  let last = "";

  const plan = h("div", { class: "walk-drawing" });
  const camera = h("input", { type: "file", accept: "image/*", capture: "environment", hidden: true, "aria-label": "Take the photo" });
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
    camera,
  );

  const room = () => steps.room;
  const ofWall = () => !asking || chosen.list === "walls" || chosen.list === "heights";
  const bare = () => (ofWall() ? unitOf(room()) : smallUnitOf(room()));
  const typedNm = () => (length.value ? readLength(length.value, bare()) : null);

  async function step(next) {
    steps = next instanceof Steps ? next : steps.take(next);
    length.value = "";
    angle = false;
    draw();
    await save();
  }

  function save() {
    return keepBegun({ room: steps.room, past: steps.past, future: steps.future, photos, metric, title });
  }

  let aim = null; // what the photo that is being taken is of

  // The photo is kept at once, with the wall or the spot that it is of.
  function takePhoto(at) {
    aim = at;
    camera.value = "";
    camera.click();
  }

  camera.addEventListener("change", async () => {
    const [file] = camera.files;
    if (!file) return;
    const photo = { ...aim, says: "", blob: await shrunk(file, ON_PAPER) };
    photos = [...photos, photo];
    placing = null;
    last = `Photo ${numbered.next + photos.length - 1} is kept${photo.wall === null ? "" : `, wall ${letter(photo.wall)}`}.`;
    draw();
    await save();
  });

  async function changePhotos(next) {
    photos = next;
    draw();
    await save();
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
    const next = put(room(), kind, offset ? { offset: withMark(offset) } : rows === "heights" ? { offset: withMark("0") } : {}, wall);
    choose(rows, next[rows].length - 1, next);
    last = "";
    more = false;
    return step(next);
  }

  function choose(rows, index, of = room()) {
    chosen = { list: rows, index };
    [asking] = asked(rows, of[rows][index]);
    placing = null;
  }

  function withMark(text) { // a place along a wall is typed as the wall is
    const nm = text === "0" ? 0 : readLength(text, unitOf(room()));
    return nm === null ? text : formatLength(nm, room().metric);
  }

  function size(value) {
    if (!value) return say("Type the size first, or tap one of those offered.");
    const nm = readLength(value, bare());
    if (!nm) return say(`${value} can't be read as a length.`);
    const { list: rows, index } = chosen;
    const row = room()[rows][index];
    const text = ofWall() ? withMark(value) : /^[\d.]+$/.test(value) ? `${value}${room().metric ? " cm" : '"'}` : value;
    const next = changed(room(), rows, index, { [asking]: text });
    last = "";
    const order = asked(rows, row);
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
    const shown = [...numbered.photos, ...photos.map((photo, index) => ({ ...photo, number: numbered.next + index }))];
    const svg = drawPlan({ ...room(), photos: shown }, asking ? null : typedNm(), chosen);
    svg.addEventListener("click", (event) => tapped(svg, event));
    svg.classList.toggle("walk-placing", Boolean(placing));
    plan.replaceChildren(svg);
  }

  // A tap puts what is being placed there; else it takes up what stands there, to be changed.
  function tapped(svg, event) {
    const item = event.target.closest("[data-item]")?.dataset.item.split(" ");
    const inPlace = item?.[0] === "electrical" || (placing && item?.[0] === "fixed" && placing === `fixed ${item[1]}`);
    if (placing && !inPlace) return place(placeNear(room(), svg.pointIn(event)));
    if (!item) return null;
    if (item[0] === "walls") onto = Number(item[1]);
    choose(item[0], Number(item[1]));
    last = `${rowInWords(room(), item[0], Number(item[1]))}.`;
    return draw();
  }

  function place({ wall, along, away }) {
    const text = (nm) => formatLength(Math.max(nm, 0), room().metric);
    last = "";
    if (placing === "photo") return takePhoto({ wall, offset: text(along), away: text(away) });
    if (!(placing in KINDS)) return moveTo(Number(placing.split(" ")[1]), wall, along, away);
    const at = { offset: text(along), ...(placing === "light" ? { away: text(away) } : {}) };
    return step(put(room(), placing, at, wall));
  }

  // Something that stands free is moved so that its middle is where it was tapped.
  function moveTo(index, wall, along, away) {
    const row = room().fixed[index];
    const half = (text) => Math.round((readLength(text ?? "", smallUnitOf(room())) ?? 0) / 2);
    const text = (nm) => formatLength(Math.max(nm, 0), room().metric);
    placing = null;
    return step(changed(room(), "fixed", index, { wall, offset: text(along - half(row.length)), off_wall: text(away - half(row.depth)) }));
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
    if (placing === "photo") return "Tap the plan where the photo is taken of.";
    if (placing) return placing in KINDS ? `Tap the plan where each ${KINDS[placing].label.toLowerCase()} is.` : "Tap the plan where it stands.";
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
    keys.hidden = closed && !asking;
    typed.hidden = keys.hidden;
    if (asking) return drawAsking();
    corner.textContent = "Corner right ›";
    lengthLabel.textContent = closed ? "Closed" : `Wall ${letter(room().walls.length)}`;
    const kinds = [...USUAL, ...(closed ? ["island"] : []), ...(more ? RARE : [])];
    above.replaceChildren(...kinds.map((kind) => button(kind === "door" && !closed ? "Door here" : KINDS[kind].label, () => stand(kind), "walk-size")),
      button("Photo", () => takePhoto(here()), "walk-size", "Photo of this wall"),
      button(more ? "Fewer" : "More", () => { more = !more; drawRows(); }, "walk-size"));
    if (closed) {
      above.prepend(ontoWhich());
      above.append(h("div", { class: "walk-row walk-wide", role: "group", "aria-labelledby": "walk-placing" }, h("p", { class: "walk-wide second", id: "walk-placing" }, "Tap where each is on the plan:"), placingRow()));
      return below.replaceChildren(...finishing());
    }
    return below.replaceChildren(...turns());
  }

  // The keypad types a size of what is chosen, new or tapped on the plan.
  function drawAsking() {
    const row = room()[chosen.list][chosen.index];
    const name = chosen.list === "walls" ? "length" : fieldName(chosen.list, row, asking).toLowerCase();
    corner.className = "walk-go walk-next";
    corner.textContent = `Keep the ${name}`;
    lengthLabel.textContent = chosen.list === "walls" ? `Wall ${letter(chosen.index)}, now ${row.length}` : `${labelOf(chosen.list, row)}: ${name}${row[asking] ? `, now ${row[asking]}` : ""}`;
    const sizes = room().metric ? [] : SIZES[kindOf(chosen.list, row)]?.[asking] ?? [];
    const others = asked(chosen.list, row).filter((each) => each !== asking && row[each]);
    const isFree = chosen.list === "fixed" && (row.wall === null || row.off_wall) && isClosed(room()) && row.kind !== "column" && row.length && row.depth;
    above.replaceChildren(...sizes.map((text) => button(text, () => size(text), "walk-size")),
      ...others.map((each) => button(`${fieldName(chosen.list, row, each)} ${row[each]}`, () => { asking = each; draw(); }, "walk-size")));
    below.replaceChildren(
      button("As it is", () => { done(); draw(); }, "walk-size"),
      button("Remove it", () => { const { list: rows, index } = chosen; done(); step(without(room(), rows, index)); }, "walk-size"),
      button("All of it", () => open(chosen.list, chosen.index), "walk-size"),
      ...(isFree ? [button("Where it stands", () => { placing = `fixed ${chosen.index}`; done(); draw(); }, "walk-size")] : []),
    );
  }

  function turns() {
    const walls = closing(room());
    const rows = [];
    corner.className = walls && !length.value ? "walk-key walk-mark walk-next" : "walk-go walk-next";
    if (walls && !length.value) {
      const words = walls.map(({ nm }) => formatLength(nm, room().metric)).join(" and ");
      rows.push(button(`Close the room: ${words}`, () => step(closeRoom(room())), "walk-go walk-wide"));
    }
    rows.push(button("‹ Corner left", () => take("left"), "walk-size"));
    if (angle) {
      const degrees = h("input", { id: "walk-degrees", inputmode: "decimal", value: "45", autocomplete: "off", size: "4" });
      rows.push(
        h("p", { class: "walk-angle walk-wide" }, h("label", { for: "walk-degrees" }, "Degrees that you turn"), degrees),
        button("Left by it", () => turnBy("left-by", degrees.value), "walk-size"),
        button("Right by it", () => turnBy("right-by", degrees.value), "walk-size"),
        button("Straight on", () => take("straight"), "walk-size"),
      );
    } else rows.push(button("45° or other", () => { angle = true; drawRows(); }, "walk-size"));
    if (misclosure(room()) && room().walls.length > 3 && !walls) rows.push(button("Balance the difference over the walls", () => step({ ...room(), balanced: true }), "walk-size walk-wide"));
    return rows;
  }

  // Where he stands: on the wall being walked, so far along it as he typed; else the wall that things are put on.
  function here() {
    if (isClosed(room())) return { wall: onto, offset: "", away: "" };
    const offset = typedNm() ? withMark(length.value) : "";
    length.value = "";
    return { wall: room().walls.length, offset, away: "" };
  }

  function ontoWhich() {
    onto = Math.min(onto, room().walls.length - 1);
    const walls = room().walls.map((_, wall) => h("option", { value: String(wall), selected: wall === onto }, `Wall ${letter(wall)}`));
    return h("p", { class: "walk-angle walk-wide" }, h("label", { for: "walk-onto" }, "Put on"), h("select", { id: "walk-onto", onchange: ({ target }) => { onto = Number(target.value); } }, walls));
  }

  // Boxes and lights are counted by a tap where each is.
  function placingRow() {
    return Object.entries(PLACED).map(([kind, words]) => {
      const toggle = button(words, () => { placing = placing === kind ? null : kind; last = ""; draw(); }, "walk-size");
      toggle.setAttribute("aria-pressed", String(placing === kind));
      return toggle;
    });
  }

  function turnBy(turn, degrees) {
    if (!(Number(degrees) > 0 && Number(degrees) < 180)) return say("Type the degrees of the turn, more than 0 and less than 180.");
    return take(turn, degrees);
  }

  // What a closed room still needs: its name, the ceiling, boxes and lights.
  function finishing() {
    const field = (name, label, value, attributes = {}) => h("p", { class: "field" }, h("label", { for: `room-${name}` }, label),
      h("input", { id: `room-${name}`, value, autocomplete: "off", ...attributes, onchange: ({ target }) => step({ ...room(), [name]: target.value }) }));
    const count = (name, label, placed) => h("div", { class: "walk-count", role: "group", "aria-label": label },
      h("span", {}, label), button("−", () => step({ ...room(), [name]: Math.max(placed, Number(room()[name]) - 1) }), "walk-size", `One of ${label.toLowerCase()} less`),
      h("output", {}, String(room()[name])), button("+", () => step({ ...room(), [name]: Number(room()[name]) + 1 }), "walk-size", `One of ${label.toLowerCase()} more`));
    const lights = room().electrical.filter(({ kind }) => kind === "light").length;
    return [
      h("div", { class: "walk-finish walk-wide" },
        room().name ? null : h("div", { class: "walk-row", role: "group", "aria-label": "Names" }, NAMES.map((name) => button(name, () => step({ ...room(), name }), "walk-size"))),
        field("name", "Room", room().name, { maxlength: "80" }),
        field("height", "Ceiling height", room().height, { inputmode: "text" }),
        count("boxes", "Switches and outlets", room().electrical.length - lights), count("lights", "Ceiling lights", lights),
        field("notes", "Notes", room().notes, { maxlength: "2000" })),
      button("Keep the room", keepRoom, "walk-go walk-wide"),
    ];
  }

  async function keepRoom() {
    if (!room().name.trim()) return say("Type what the room is called, or tap a name.");
    if (!readLength(room().height, unitOf(room()))) return say(`Type the ceiling height, such as ${metric ? "2.44" : "8'"}.`);
    const unsized = room().fixed.findIndex((row) => !(row.length || row.units) || !row.depth);
    if (unsized >= 0) return say(`${rowInWords(room(), "fixed", unsized)}. Type its size, or remove it.`);
    const low = room().heights.findIndex((row) => !row.height);
    if (low >= 0) return say(`${rowInWords(room(), "heights", low)}. Type the height, or remove it.`);
    return finish(asTexts(room()), photos);
  }

  // A row of the list with all that it holds.
  function open(rows, index) {
    list.querySelectorAll("details").forEach((details) => { details.open = details.dataset.item === `${rows} ${index}`; });
    const opened = list.querySelector(`details[data-item="${rows} ${index}"]`);
    opened?.querySelector("input, select")?.focus();
    opened?.scrollIntoView({ block: "nearest" });
  }

  function drawList() {
    const opened = list.querySelector("details[open]")?.dataset.item;
    list.replaceChildren(
      h("h2", {}, "The room as a list"),
      listOf(room(), {
        set: (rows, index, values) => step(changed(room(), rows, index, values)),
        remove: (rows, index) => { done(); step(without(room(), rows, index)); },
      }),
      photoList() ?? "",
      h("p", { class: "toolbar" },
        h("button", { type: "button", class: "button-plain", onclick: () => { done(); step(steps.undo()); }, disabled: !steps.past.length }, "Undo the last step"),
        h("button", { type: "button", class: "button-plain", onclick: () => { done(); step(steps.redo()); }, disabled: !steps.future.length }, "Redo"),
        isClosed(room()) ? h("button", { type: "button", class: "button-plain", onclick: () => step(put(room(), "outlet", { offset: withMark("0") }, onto)) }, `Add an outlet to wall ${letter(Math.min(onto, room().walls.length - 1))}`) : null,
        h("button", { type: "button", class: "button-plain", onclick: leave }, "Leave it as begun")),
    );
    const again = opened && list.querySelector(`details[data-item="${opened}"]`);
    if (again) again.open = true;
  }

  function photoList() {
    if (!photos.length) return null;
    const set = (index, values) => changePhotos(photos.map((photo, at) => (at === index ? { ...photo, ...values } : photo)));
    return h("div", {}, h("h3", {}, "Photos taken here"), h("ul", { class: "walk-photos" }, photos.map((photo, index) => {
      const number = numbered.next + index;
      const picture = h("img", { alt: `Photo ${number}` });
      asDataUrl(photo.blob).then((address) => { picture.src = address; });
      return h("li", {}, picture,
        h("p", { class: "field" }, h("label", { for: `photo-${index}` }, `Photo ${number}${photo.wall === null ? "" : `, wall ${letter(photo.wall)}`}: what it shows`),
          h("input", { id: `photo-${index}`, value: photo.says, maxlength: "120", autocomplete: "off", onchange: ({ target }) => set(index, { says: target.value }) })),
        h("button", { type: "button", class: "button-plain", onclick: () => { if (confirm(`Photo ${number} isn't sent yet, and is gone then. Remove it?`)) changePhotos(photos.filter((_, at) => at !== index)); } }, "Remove", h("span", { class: "hidden-label" }, ` photo ${number}`)));
    })));
  }

  function draw() {
    const focused = document.activeElement?.id;
    drawRows();
    drawList();
    said.textContent = state();
    read();
    const again = focused && document.getElementById(focused);
    if (again && again !== length) again.focus({ preventScroll: true });
    else if (!keys.hidden) length.focus({ preventScroll: true });
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
