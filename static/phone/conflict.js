// A room that was changed on this phone and elsewhere: both versions, and what he chooses of them. Pure.

import { LISTS } from "./kinds.js";
import { fromTexts, rowInWords } from "./walk.js";

const isOf = (name, list) => name === list || name.startsWith(`${list}-`);
const ofThePlan = (name) => name === "balanced" || LISTS.some((list) => isOf(name, list));

// What is to be chosen. Where the walls differ in their number, all of the plan belongs to one version, as its
// letters mean other walls in each; else each value is chosen by itself, and a list of another number of rows
// as a whole. `isDrawn` where two drawings say more than words.
export function choices({ conflicts, merged, stored }, metric) {
  const whole = conflicts.some(({ name }) => name === "walls");
  const rest = conflicts.filter(({ name }) => !(whole && ofThePlan(name)));
  const values = rest.map(({ name, label, theirs }) => ({
    name, label, theirs: theirs || "none", mine: (LISTS.includes(name) ? rowsOf(merged, name, metric) : inWords(merged[name])) || "none",
  }));
  const plan = { name: "plan", label: "The plan: walls, and all that stands on them", mine: "all of it as this phone has it", theirs: "all of it as it was saved meanwhile" };
  return { isDrawn: conflicts.some(({ name }) => ofThePlan(name)), values: whole ? [plan, ...values] : values };
}

const inWords = (texts = []) => texts.map((text) => (text === "on" ? "ticked" : text)).join(" ");

function rowsOf(texts, list, metric) {
  const room = fromTexts(texts, metric);
  return room[list].map((_, index) => rowInWords(room, list, index)).join("; ");
}

// What stands in one version of the plan and not in the other, in words.
export function onlyIn(texts, others, metric) {
  const [room, other] = [texts, others].map((each) => fromTexts(each, metric));
  const words = (of, list) => of[list].map((_, index) => rowInWords(of, list, index));
  return LISTS.flatMap((list) => words(room, list).filter((row) => !words(other, list).includes(row)));
}

// The texts that are sent after he chose: `chosen` says "mine" or "theirs" by name.
export function resolved({ merged, stored }, mine, chosen) {
  let texts = { ...merged };
  const take = (from, belongs) => {
    const rest = Object.entries(texts).filter(([name]) => !belongs(name));
    texts = Object.fromEntries([...rest, ...Object.entries(from).filter(([name]) => belongs(name))]);
  };
  for (const [name, side] of Object.entries(chosen)) {
    if (name === "plan") take(side === "mine" ? mine : stored, ofThePlan);
    else if (side === "theirs") take(stored, (each) => (LISTS.includes(name) ? isOf(each, name) : each === name));
  }
  return texts;
}
