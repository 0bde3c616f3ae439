// What can stand in a room, on its walls or under its ceiling: what each is called, and what is asked of it.

export const KINDS = {
  door: { list: "openings", label: "Door", width: '32"', height: '80"', sill: "" },
  window: { list: "openings", label: "Window", width: '36"', height: '48"', sill: '36"' },
  cased: { list: "openings", label: "Opening", width: '36"', height: '80"', sill: "" },
  niche: { list: "openings", label: "Niche", width: '14"', height: '24"', sill: '44"', recess: '3 1/2"' },
  cabinets: { list: "fixed", label: "Base cabinets", length: "", depth: '24"', height: '34 1/2"' },
  hung: { list: "fixed", label: "Wall cabinets", length: "", depth: '12"', height: '30"' },
  tall: { list: "fixed", label: "Tall cabinets", length: "", depth: '24"', height: '84"' },
  tub: { list: "fixed", label: "Tub or shower", length: '60"', depth: '30"', height: '20"' },
  island: { list: "fixed", label: "Island", length: "", depth: '36"', height: '36"' },
  soffit: { list: "fixed", label: "Soffit", length: "", depth: '12"', height: '12"' },
  column: { list: "fixed", label: "Column", length: "", depth: "", height: "" },
  other: { list: "fixed", label: "Something else", length: "", depth: '24"', height: "" },
  ceiling: { list: "heights", label: "Ceiling height", height: "" },
  outlet: { list: "electrical", label: "Outlet", away: '18"' },
  switch: { list: "electrical", label: "Switch", away: '48"' },
  light: { list: "electrical", label: "Ceiling light", away: "" },
};

// Sizes that are offered for a tap.
export const SIZES = {
  door: { width: ['28"', '30"', '32"', '36"'], height: ['80"', '84"'] },
  window: { width: ['24"', '30"', '36"', '48"'], height: ['36"', '48"', '60"'], sill: ['30"', '36"', '42"'] },
  cased: { width: ['32"', '36"', '48"', '60"'], height: ['80"', '84"'] },
  niche: { width: ['12"', '14"'], height: ['12"', '24"', '28"'], sill: ['44"', '48"'], recess: ['3 1/2"'] },
  cabinets: { depth: ['24"'], height: ['34 1/2"'] },
  hung: { depth: ['12"', '15"', '24"'], height: ['15"', '30"', '36"', '42"'] },
  tall: { depth: ['24"'], height: ['84"', '90"', '96"'] },
  tub: { length: ['60"'], depth: ['30"', '32"'] },
  island: { depth: ['36"', '42"'] },
  soffit: { depth: ['12"', '14"'], height: ['8"', '12"'] },
  outlet: { away: ['18"', '44"'] },
  switch: { away: ['44"', '48"'] },
};

export const TICKS = { off_floor: "Floor stops at it", off_base: "No base along it", off_walls: "Wall behind it is left out" };

// What is asked of a run of cabinets and of an island besides.
export const RUN = ["units", "finished_ends", "bottom", "overhang", "seat_overhang", "tile_to"];
export const ENDS = [["", "none"], ["start", "at its start"], ["end", "at its end"], ["both", "at both ends"]];

// Which of them a kind of fixed thing has.
export function ofRun(kind) {
  return { tub: ["tile_to"], cabinets: RUN.filter((name) => !["bottom", "seat_overhang"].includes(name)), hung: RUN.slice(0, 3), tall: RUN.slice(0, 2), island: RUN.filter((name) => !["bottom", "tile_to"].includes(name)) }[kind] ?? [];
}

// The fields of each list, in the order of its form.
export const FIELDS = {
  walls: ["length", "turn", "degrees"],
  openings: ["kind", "wall", "width", "height", "sill", "offset", "recess", "name"],
  fixed: ["kind", "wall", "length", "depth", "height", "offset", "off_wall", "name", ...Object.keys(TICKS), ...RUN],
  heights: ["wall", "offset", "height"],
  electrical: ["kind", "wall", "offset", "away"],
};
export const LISTS = Object.keys(FIELDS);

const NAMES = {
  width: "Width", height: "Height", sill: "Sill", length: "Length", depth: "Depth", offset: "From the wall's start", recess: "Depth into the wall", off_wall: "Off the wall", name: "Name",
  units: "Cabinets, from the start, such as 36, dishwasher 24, sink 36", finished_ends: "Finished ends", bottom: "Underside above the floor", overhang: "Counter overhang", seat_overhang: "Overhang for seats", tile_to: "Tile up to, above the floor",
};

export function kindOf(list, row) {
  return list === "heights" ? "ceiling" : list === "fixed" ? row.kind || "other" : row.kind;
}

export function labelOf(list, row) {
  return KINDS[kindOf(list, row)]?.label ?? "Wall";
}

export function fieldName(list, row, field) {
  if (field === "away") return row.kind === "light" ? "Out from the wall" : "Up from the floor";
  if (field === "height" && row.kind === "soffit") return "Drop below the ceiling";
  if (list === "heights" && field === "height") return "Ceiling there";
  return NAMES[field];
}

// What the keypad asks of a row, one after another.
export function asked(list, row) {
  if (list === "walls") return ["length"];
  if (list === "heights") return ["height"];
  if (list === "electrical") return ["away"];
  if (list === "fixed") return ["length", "depth", "height"];
  return ["width", "height", ...({ window: ["sill"], niche: ["sill", "recess"] }[row.kind] ?? [])];
}
