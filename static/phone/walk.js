// A room in the order in which it is walked: pure steps from one state to the next, and what they are sent as.

import { FIELDS, KINDS, LISTS, TICKS, labelOf } from "./kinds.js";
import { INCH, formatLength, marked, readLength } from "./lengths.js";

const WHOLE_TURNS = { right: 90, left: -90, straight: 0 };
const COMPASS = ["east", "north-east", "north", "north-west", "west", "south-west", "south", "south-east"];
const OBLIQUE_ALLOWANCE = INCH / 16;
export function emptyRoom(metric, height = "") {
  return { metric, name: "", height, boxes: 0, lights: 0, notes: "", balanced: false, walls: [], openings: [], fixed: [], heights: [], electrical: [], closed: false };
}

export function letter(wall) {
  let letters = "";
  for (let number = wall + 1; number; number = Math.floor((number - 1) / 26)) letters = String.fromCharCode(65 + ((number - 1) % 26)) + letters;
  return letters;
}

// The unit of a number without a mark: of walls, and of what stands on them.
export const unitOf = (room) => (room.metric ? "m" : "ft");
// The wall that letters name; null for none.
export function wallOf(letters) {
  return letters ? [...letters].reduce((sum, each) => sum * 26 + each.charCodeAt(0) - 64, 0) - 1 : null;
}

export const smallUnitOf = (room) => (room.metric ? "cm" : "in");
export const turnOf = ({ turn, degrees }) => (turn in WHOLE_TURNS ? WHOLE_TURNS[turn] : (turn === "left-by" ? -1 : 1) * Number(degrees));

const inCentimeters = (size) => `${Math.round(Number.parseFloat(size) * 2.54)} cm`;

// Steps. Each returns a new room.

export function endWall(room, text, turn = "right", degrees = "") {
  const nm = readLength(text, unitOf(room));
  const length = nm ? exactText(nm, room.metric) : marked(text, unitOf(room));
  return { ...room, closed: false, walls: [...room.walls, { length, turn, degrees }] };
}

// Puts something on the wall being walked (or on no wall), `offset` from its start where it was measured.
export function put(room, kind, typed = {}, wall = room.walls.length) {
  const { list, label, ...sizes } = KINDS[kind];
  const last = room[list].findLast((row) => row.kind === kind) ?? {};
  const row = list === "heights" ? { wall, offset: "" } : { kind, wall: kind === "island" ? null : wall, offset: "", name: "" };
  for (const [name, size] of Object.entries(sizes)) row[name] = last[name] ?? (room.metric && size ? inCentimeters(size) : size);
  if (list === "fixed") row.length = "";
  return counting({ ...room, [list]: [...room[list], { ...row, ...typed }] }, list, row, 1);
}

// A box or a light in its place is one more, or one less, of those that are counted.
function counting(room, list, row, by) {
  if (list !== "electrical") return room;
  const name = row.kind === "light" ? "lights" : "boxes";
  return { ...room, [name]: Math.max(0, Number(room[name]) + by) };
}

export function changed(room, list, index, values) {
  return { ...room, closed: list === "walls" ? false : room.closed, [list]: room[list].map((row, at) => (at === index ? { ...row, ...values } : row)) };
}

export function without(room, list, index) {
  const rest = counting({ ...room, [list]: room[list].filter((_, at) => at !== index) }, list, room[list][index], -1);
  if (list !== "walls") return rest;
  const moved = (row) => ({ ...row, wall: row.wall !== null && row.wall > index ? row.wall - 1 : row.wall });
  for (const name of LISTS.filter((each) => each !== "walls")) rest[name] = room[name].filter((row) => row.wall !== index).map(moved);
  return { ...rest, closed: false };
}

// The wall that is nearest to a point, how far along it the point is, and how far out from it: on whole inches,
// or centimeters.
export function placeNear(room, [x, y]) {
  const { points, headings } = traced(room);
  const least = room.metric ? 10_000_000 : INCH;
  const onTape = (nm) => Math.round(nm / least) * least;
  const places = headings.map((heading, wall) => {
    const [[x1, y1], [x2, y2]] = [points[wall], points[wall + 1]];
    const long = Math.hypot(x2 - x1, y2 - y1);
    const angle = (heading * Math.PI) / 180;
    const [east, north] = [Math.cos(angle), -Math.sin(angle)];
    const along = Math.min(Math.max((x - x1) * east + (y - y1) * north, 0), long);
    const far = Math.hypot(x - x1 - along * east, y - y1 - along * north);
    return { wall, along: Math.min(onTape(along), long), away: onTape(far), far };
  });
  return places.reduce((near, place) => (place.far < near.far ? place : near));
}

// Geometry, in nanometers, wall A running east (x) and y to the north, as the server has it.

function stepBy(nm, heading) {
  const quarter = ((heading % 360) + 360) % 360;
  const exact = { 0: [nm, 0], 90: [0, -nm], 180: [-nm, 0], 270: [0, nm] }[quarter];
  if (exact) return exact.map((part) => part + 0);
  const angle = (quarter * Math.PI) / 180;
  return [Math.round(nm * Math.cos(angle)), Math.round(-nm * Math.sin(angle))];
}

// The corners walked so far, the heading of the wall being walked, and whether all lengths could be read.
export function traced(room) {
  const points = [[0, 0]];
  const headings = [];
  let heading = 0;
  let length = 0;
  for (const wall of room.walls) {
    const nm = readLength(wall.length, unitOf(room));
    if (!nm) return { points, headings, heading, length, unread: true };
    const [east, north] = stepBy(nm, heading);
    const [x, y] = points.at(-1);
    points.push([x + east, y + north]);
    headings.push(heading);
    length += nm;
    heading += turnOf(wall) || 0;
  }
  return { points, headings, heading, length, unread: false };
}

// The walls that close the room from where he stands: two with a corner between, or one; null where none do.
// Where a wall before stood at another angle, they are as long as a tape shows it.
export function closing(room) {
  const { points, headings, heading, unread } = traced(room);
  if (unread || room.walls.length < 2 || heading % 90) return null;
  const least = headings.some((each) => each % 90) ? (room.metric ? 1_000_000 : INCH / 16) : 1;
  const onTape = (nm) => Math.round(nm / least) * least;
  const [x, y] = points.at(-1);
  const [east, north] = stepBy(1, heading);
  const along = onTape(-(x * east + y * north));
  const aside = onTape(-(x * north - y * east)); // to the right of the heading
  if (along > 0 && aside === 0) return [{ nm: along, turn: "right" }];
  if (along <= 0 || aside === 0) return null;
  const turn = aside > 0 ? "right" : "left";
  return [{ nm: along, turn }, { nm: Math.abs(aside), turn: "right" }];
}

export function closeRoom(room) {
  const walls = closing(room).map(({ nm, turn }) => ({ length: exactText(nm, room.metric), turn, degrees: "" }));
  return { ...room, walls: [...room.walls, ...walls], closed: true };
}

function exactText(nm, metric) {
  const shown = formatLength(nm, metric);
  return readLength(shown, metric ? "m" : "ft") === nm ? shown : `${nm / 1_000_000} mm`;
}

// How far the last wall ends from the start, in the words of the server; "" where it ends there.
export function misclosure(room) {
  const { points, headings, length, unread } = traced(room);
  if (unread || room.walls.length < 3) return "";
  const [east, north] = points.at(-1);
  const distance = Math.round(Math.hypot(east, north));
  if (distance <= (headings.some((heading) => heading % 90) ? OBLIQUE_ALLOWANCE : 0)) return "";
  const point = Math.round(Math.atan2(north, east) / (Math.PI / 4));
  const least = room.metric ? 1_000_000 : INCH / 16;
  const far = distance < least ? `less than ${formatLength(least, room.metric)}` : formatLength(distance, room.metric);
  const ratio = Math.floor((2 * length + distance) / (2 * distance)).toLocaleString("en-US");
  return `the last wall ends ${far} ${COMPASS[(point + 8) % 8]} of the start, the first wall running east (1 in ${ratio})`;
}

export function isClosed(room) {
  const { unread } = traced(room);
  return !unread && room.walls.length > 2 && (room.balanced || !misclosure(room));
}

// What reaches beyond the end of its wall, in a sentence; "" where all fits. The server says the rest.
export function misfit(room) {
  for (const [list, along] of [["openings", "width"], ["fixed", "length"]]) {
    for (const row of room[list]) {
      const wall = row.kind !== "column" && row.wall !== null && room.walls[row.wall];
      if (!wall) continue;
      const long = readLength(wall.length, unitOf(room));
      const end = (readLength(row.offset ?? "", smallUnitOf(room)) ?? 0) + (readLength(row[along] ?? "", smallUnitOf(room)) ?? 0);
      if (long && end > long) return `${row.name || labelOf(list, row)} ends at ${formatLength(end, room.metric)}: wall ${letter(row.wall)} is ${wall.length} long.`;
    }
  }
  return "";
}

// What the room's form would send, and back.

export function asTexts(room) {
  const texts = {
    name: [room.name], shape: ["walk"], height: [room.height], notes: [room.notes],
    device_boxes: [String(room.boxes)], ceiling_lights: [String(room.lights)], balanced: room.balanced ? ["on"] : [],
    length: [room.other?.length ?? ""], width: [room.other?.width ?? ""],
    cut_length: [room.other?.cut_length ?? ""], cut_width: [room.other?.cut_width ?? ""],
    stud_spacing: [room.other?.stud_spacing ?? ""], stud_first: [room.other?.stud_first ?? ""],
    joist_spacing: [room.other?.joist_spacing ?? ""], joist_first: [room.other?.joist_first ?? ""],
    joist_run: [room.other?.joist_run ?? ""], floor_run: [room.other?.floor_run ?? ""],
    floor_spacing: [room.other?.floor_spacing ?? ""], floor_first: [room.other?.floor_first ?? ""],
  };
  for (const [list, fields] of Object.entries(FIELDS)) {
    texts[`${list}-TOTAL_FORMS`] = [String(room[list].length)];
    texts[`${list}-INITIAL_FORMS`] = [String(room[list].length)];
    room[list].forEach((row, index) => {
      for (const field of fields) {
        let value = row[field] ?? "";
        if (field === "wall") value = value === null || value === "" ? "" : letter(value);
        if (field in TICKS) texts[`${list}-${index}-${field}`] = row[field] ?? field === "off_base" ? ["on"] : [];
        else texts[`${list}-${index}-${field}`] = [String(value)];
      }
    });
  }
  return texts;
}

export function fromTexts(texts, metric) {
  const one = (name) => texts[name]?.[0] ?? "";
  const room = {
    ...emptyRoom(metric, one("height")), name: one("name"), notes: one("notes"), boxes: Number(one("device_boxes")) || 0,
    lights: Number(one("ceiling_lights")) || 0, balanced: Boolean(one("balanced")),
    other: {
      length: one("length"), width: one("width"), cut_length: one("cut_length"), cut_width: one("cut_width"),
      stud_spacing: one("stud_spacing"), stud_first: one("stud_first"),
      joist_spacing: one("joist_spacing"), joist_first: one("joist_first"), joist_run: one("joist_run"),
      floor_spacing: one("floor_spacing"), floor_first: one("floor_first"), floor_run: one("floor_run"),
    },
  };
  for (const [list, fields] of Object.entries(FIELDS)) {
    for (let index = 0; index < Number(one(`${list}-TOTAL_FORMS`)); index += 1) {
      const row = {};
      for (const field of fields) row[field] = field in TICKS ? Boolean(one(`${list}-${index}-${field}`)) : one(`${list}-${index}-${field}`);
      if ("wall" in row) row.wall = wallOf(row.wall);
      const counts = { walls: row.length, openings: row.width || row.height, fixed: row.length || row.depth || row.name || row.units, heights: row.offset || row.height, electrical: row.offset || row.away }[list];
      if (counts) room[list].push(row);
    }
  }
  room.closed = isClosed(room);
  return room;
}

// Undo and redo of every step.

export class Steps {
  constructor(room, past = [], future = []) {
    Object.assign(this, { room, past, future });
  }

  take(room) {
    return new Steps(room, [...this.past, this.room].slice(-200), []);
  }

  undo() {
    return this.past.length ? new Steps(this.past.at(-1), this.past.slice(0, -1), [this.room, ...this.future]) : this;
  }

  redo() {
    return this.future.length ? new Steps(this.future[0], [...this.past, this.room], this.future.slice(1)) : this;
  }
}

// What stands in a room, in words: for the list beside the drawing.
export function rowInWords(room, list, index) {
  const row = room[list][index];
  if (list === "walls") {
    const turn = { right: "corner right", left: "corner left", straight: "straight on" }[row.turn] ?? `${row.degrees}° ${row.turn === "left-by" ? "left" : "right"}`;
    return `Wall ${letter(index)} ${row.length}, then ${turn}`;
  }
  const label = labelOf(list, row);
  const place = row.wall === null || row.wall === undefined ? "stands free" : `wall ${letter(row.wall)}`;
  const at = row.offset ? `, ${row.offset} from its start` : "";
  if (list === "heights") return `${label}, ${place}${at}: ${row.height || "?"}`;
  if (list === "electrical") return `${label}, ${place}${at}: ${row.away || "?"} ${row.kind === "light" ? "out from it" : "up"}`;
  const off = row.off_wall ? `, ${row.off_wall} off it` : "";
  const size = list === "openings" ? `${row.width} wide, ${row.height} high` : `${row.length || "?"} long, ${row.depth || "?"} deep`;
  return `${row.name || label}, ${place}${at}${off}: ${size}`;
}
