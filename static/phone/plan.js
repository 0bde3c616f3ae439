// The plan as it grows: walls walked, the wall being walked, where the room would close.

import { s } from "./dom.js";
import { readLength } from "./lengths.js";
import { closing, isClosed, letter, smallUnitOf, traced } from "./walk.js";

const WIDE = 360;
const HIGH = 220;
const MARGIN = 34;

// The drawing of a room; `now` is the length typed for the wall being walked, in nanometers or null.
export function drawPlan(room, now = null, chosen = null, [wide, high] = [WIDE, HIGH]) {
  const { points, headings, heading } = traced(room);
  const closed = isClosed(room);
  const here = points.at(-1);
  const walk = ahead(heading);
  const typical = Math.max(...points.map(([x, y]) => Math.hypot(x, y)), 1_500_000_000) / 2;
  const reach = now ?? typical;
  const end = closed ? here : [here[0] + walk[0] * reach, here[1] + walk[1] * reach];
  const ghost = closed ? [] : ghostOf(room, here, walk);
  const scale = fit([...points, end, ...ghost], wide, high);
  const line = (from, to, name) => {
    const [[x1, y1], [x2, y2]] = [scale(from), scale(to)];
    return s("line", { x1, y1, x2, y2, class: name });
  };
  const children = [];
  if (ghost.length) children.push(s("polyline", { points: ghost.map((point) => scale(point).join(",")).join(" "), class: "walk-ghost" }));
  headings.forEach((at, wall) => {
    const name = chosen?.list === "walls" && chosen.index === wall ? "walk-wall walk-chosen" : "walk-wall";
    const part = line(points[wall], points[wall + 1], name);
    const hit = line(points[wall], points[wall + 1], "walk-hit"); // as broad as a thumb
    for (const each of [part, hit]) each.dataset.item = `walls ${wall}`;
    children.push(part, hit, ...onWall(room, wall, points[wall], at, scale, chosen, Math.hypot(points[wall + 1][0] - points[wall][0], points[wall + 1][1] - points[wall][1])));
    children.push(label(wide, scale, points[wall], points[wall + 1], at, `${letter(wall)} ${room.walls[wall].length}`, "walk-label"));
  });
  if (!closed) {
    children.push(line(here, end, "walk-now"), ...onWall(room, room.walls.length, here, heading, scale, chosen));
    const [cx, cy] = scale(here);
    children.push(s("circle", { cx, cy, r: 5, class: "walk-here" }));
    children.push(label(wide, scale, here, end, heading, `${letter(room.walls.length)} ?`, "walk-label walk-asked"));
  }
  children.push(...photosOn(room, points, headings, scale));
  children.push(...standingFree(room, points, scale, chosen));
  const words = room.walls.map((wall, at) => `wall ${letter(at)} ${wall.length}`).join(", ") || "no wall yet";
  const svg = s("svg", { viewBox: `0 0 ${wide} ${high}`, role: "img", "aria-label": `Plan: ${words}${closed ? ", closed" : ""}`, class: "walk-plan" }, ...children);
  svg.pointIn = (event) => scale.back(spotIn(svg, event));
  return svg;
}

// Where in a drawing it was tapped.
function spotIn(svg, { clientX, clientY }) {
  const { x, y } = new DOMPoint(clientX, clientY).matrixTransform(svg.getScreenCTM().inverse());
  return [x, y];
}

function ahead(heading) {
  const angle = (heading * Math.PI) / 180;
  return [Math.cos(angle), -Math.sin(angle)];
}

function ghostOf(room, here, walk) {
  const walls = closing(room);
  if (!walls) return [];
  return [here, [here[0] + walk[0] * walls[0].nm, here[1] + walk[1] * walls[0].nm], [0, 0]];
}

function fit(points, across, down) {
  const xs = points.map(([x]) => x);
  const ys = points.map(([, y]) => y);
  const [left, top] = [Math.min(...xs), Math.max(...ys)];
  const wide = Math.max(...xs) - left || 1;
  const high = top - Math.min(...ys) || 1;
  const factor = Math.min((across - 3.2 * MARGIN) / wide, (down - 2 * MARGIN) / high);
  const [right, lower] = [(across - wide * factor) / 2, (down - high * factor) / 2];
  const to = ([x, y]) => [right + (x - left) * factor, lower + (top - y) * factor].map((value) => Math.round(value * 10) / 10);
  to.back = ([x, y]) => [(x - right) / factor + left, top - (y - lower) / factor];
  return to;
}

function label(across, scale, from, to, heading, text, name) {
  const [x, y] = scale([(from[0] + to[0]) / 2, (from[1] + to[1]) / 2]);
  const angle = (heading * Math.PI) / 180;
  // outside: to the left of who walks clockwise
  const [aside, up] = [Math.sin(angle) * 10, -Math.cos(angle) * 10];
  const anchor = aside > 3 ? "start" : aside < -3 ? "end" : "middle";
  const wide = text.length * 7; // about, at 12 px
  const [before, after] = { start: [0, wide], end: [wide, 0], middle: [wide / 2, wide / 2] }[anchor];
  const inside = Math.min(Math.max(x + aside, before), across - after);
  return s("text", { x: inside, y: y + up + 4, "text-anchor": anchor, class: name }, text);
}

// Openings and fixed things of a wall: gaps and boxes on its inner side; in its middle where the place wasn't
// measured.
function onWall(room, wall, start, heading, scale, chosen, long = 0) {
  const [east, north] = ahead(heading);
  const at = (along, inward) => scale([start[0] + east * along + north * inward, start[1] + north * along - east * inward]);
  const length = (text) => readLength(text ?? "", smallUnitOf(room)) ?? 0;
  const begins = (row, wide) => (row.offset ? length(row.offset) : Math.max(0, (long - wide) / 2));
  const drawn = [];
  const named = (element, list, index) => {
    element.dataset.item = `${list} ${index}`;
    if (chosen?.list === list && chosen.index === index) element.classList.add("walk-chosen");
    drawn.push(element);
  };
  room.fixed.forEach((row, index) => {
    if (row.wall !== wall || !row.length || row.kind === "column") return;
    const from = begins(row, length(row.length));
    const off = length(row.off_wall);
    const [to, deep] = [from + length(row.length), off + length(row.depth)];
    const corners = [at(from, off), at(to, off), at(to, deep), at(from, deep)];
    named(s("polygon", { points: corners.map((corner) => corner.join(",")).join(" "), class: ["soffit", "hung"].includes(row.kind) ? "walk-fixed walk-over" : "walk-fixed" }), "fixed", index);
  });
  room.openings.forEach((row, index) => {
    if (row.wall !== wall) return;
    const from = begins(row, length(row.width));
    const to = from + length(row.width);
    const [[x1, y1], [x2, y2]] = [at(from, 0), at(to, 0)];
    const gap = s("g", { class: `walk-opening walk-${row.kind}` }, s("line", { x1, y1, x2, y2, class: "walk-gap" }));
    if (row.kind === "door") {
      const [x3, y3] = at(from, to - from);
      const radius = Math.hypot(x2 - x1, y2 - y1);
      gap.append(s("path", { d: `M${x1} ${y1}L${x3} ${y3}A${radius} ${radius} 0 0 0 ${x2} ${y2}`, class: "walk-leaf" }));
    } else if (row.kind === "window") gap.append(s("line", { x1, y1, x2, y2, class: "walk-glass" }));
    if (row.kind === "niche") {
      const back = [at(from, 0), at(from, -length(row.recess)), at(to, -length(row.recess)), at(to, 0)];
      gap.append(s("polyline", { points: back.map((corner) => corner.join(",")).join(" "), class: "walk-leaf" }));
    }
    named(gap, "openings", index);
  });
  room.heights.forEach((row, index) => {
    if (row.wall !== wall) return;
    const [x, y] = at(length(row.offset), 0);
    named(s("path", { d: `M${x - 5} ${y}L${x} ${y - 6}L${x + 5} ${y}L${x} ${y + 6}Z`, class: "walk-height" }), "heights", index);
  });
  room.electrical.forEach((row, index) => {
    if (row.wall !== wall) return;
    const [x, y] = row.kind === "light" ? at(length(row.offset), length(row.away)) : nearWall(at(length(row.offset), 0), heading);
    const signs = { outlet: `M${x - 2} ${y - 3}v6M${x + 2} ${y - 3}v6`, switch: `M${x - 3} ${y + 3}l6 -6` };
    const sign = signs[row.kind] ?? `M${x - 4} ${y - 4}l8 8M${x - 4} ${y + 4}l8 -8`;
    named(s("g", { class: "walk-box" }, s("circle", { cx: x, cy: y, r: 6 }), s("path", { d: sign })), "electrical", index);
  });
  return drawn;
}

// A box is drawn on the face of its wall, whatever the scale.
function nearWall([x, y], heading) {
  const angle = (heading * Math.PI) / 180;
  return [x - Math.sin(angle) * 8, y + Math.cos(angle) * 8].map((value) => Math.round(value * 10) / 10);
}

// What stands free without a measured place, in the middle of the room.
function standingFree(room, points, scale, chosen) {
  const free = room.fixed.map((row, index) => ({ row, index })).filter(({ row }) => (row.wall === null || row.kind === "column") && row.length);
  if (!free.length || points.length < 3) return [];
  const [x, y] = scale([0, 1].map((axis) => (Math.min(...points.map((point) => point[axis])) + Math.max(...points.map((point) => point[axis]))) / 2));
  const size = (text) => { const nm = readLength(text ?? "", smallUnitOf(room)) ?? 0; return Math.abs(scale([nm, 0])[0] - scale([0, 0])[0]); };
  return free.map(({ row, index }, number) => {
    const [wide, high] = [size(row.length), size(row.depth)];
    const box = s("rect", { x: x - wide / 2, y: y - high / 2 + number * (high + 6), width: wide, height: high, class: "walk-fixed" });
    box.dataset.item = `fixed ${index}`;
    if (chosen?.list === "fixed" && chosen.index === index) box.classList.add("walk-chosen");
    return box;
  });
}

// The numbers of photos at their spots; of a whole wall, in its middle.
function photosOn(room, points, headings, scale) {
  return (room.photos ?? []).filter(({ wall }) => wall in headings).map(({ wall, offset, away, number }) => {
    const [east, north] = ahead(headings[wall]);
    const [[x1, y1], [x2, y2]] = [points[wall], points[wall + 1]];
    const length = (text) => readLength(text ?? "", smallUnitOf(room)) ?? 0;
    const along = offset ? length(offset) : Math.hypot(x2 - x1, y2 - y1) / 2;
    const spot = scale([x1 + east * along + north * length(away), y1 + north * along - east * length(away)]);
    const [x, y] = length(away) ? spot : nearWall(spot, headings[wall]);
    return s("g", { class: "walk-photo" }, s("circle", { cx: x, cy: y, r: 8 }), s("text", { x, y: y + 4, "text-anchor": "middle" }, String(number)));
  });
}
