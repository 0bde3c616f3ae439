// What pages do beyond plain HTML. Every page works without this file.
"use strict";

// Errors: the summary takes the focus; its links bring the label into view, then focus the field,
// so that the question isn't lost above the screen or under the keypad.

function focusSummary(root) {
  const summary = root.querySelector(".error-summary");
  if (!summary) return;
  summary.tabIndex = -1;
  summary.addEventListener("blur", () => summary.removeAttribute("tabindex"), { once: true });
  summary.focus();
  if (!document.title.startsWith("Error:")) document.title = `Error: ${document.title}`;
}

function questionOf(input) {
  const legend = input.closest("fieldset")?.querySelector("legend");
  const room = window.innerHeight / 2;
  if (legend && input.getBoundingClientRect().bottom - legend.getBoundingClientRect().top < room) return legend;
  return input.labels?.[0] ?? input;
}

document.addEventListener("click", (event) => {
  const link = event.target.closest(".error-summary a[href^='#']");
  const input = link && document.getElementById(link.hash.slice(1));
  if (!input) return;
  event.preventDefault();
  questionOf(input).scrollIntoView();
  input.focus({ preventScroll: true });
});

// Lengths: the keys that a phone's number pad lacks, under the length field last touched.

const EIGHTHS = ["1/8", "1/4", "3/8", "1/2", "5/8", "3/4", "7/8"];
const SIXTEENTHS = ["1/16", "3/16", "5/16", "7/16", "9/16", "11/16", "13/16", "15/16"];
const chips = document.createElement("div");
chips.className = "chips";
chips.setAttribute("role", "group");
let measuring;

function drawChips(fractions, other) {
  chips.replaceChildren(...["'", '"', ...fractions, other].map((text) => {
    const chip = document.createElement("button");
    chip.type = "button";
    chip.tabIndex = -1;
    chip.textContent = text;
    if (text === "'") chip.setAttribute("aria-label", "feet");
    if (text === '"') chip.setAttribute("aria-label", "inches");
    return chip;
  }));
}

function insertAtCaret(input, text) {
  const before = input.value.slice(0, input.selectionStart);
  const apart = text.includes("/") && /[\d'"′″’”]$/.test(before) ? " " : "";
  input.setRangeText(apart + text, input.selectionStart, input.selectionEnd, "end");
  input.dispatchEvent(new Event("input", { bubbles: true }));
}

document.addEventListener("focusin", ({ target }) => {
  if (!target.matches("input[data-length]") || ["m", "cm", "mm"].includes(target.dataset.length)) return;
  if (measuring === target && chips.isConnected) return;
  measuring = target;
  drawChips(EIGHTHS, "16ths");
  chips.setAttribute("aria-label", `Keys for ${target.labels[0]?.textContent.trim() ?? "this length"}`);
  (target.closest("[data-chips]") ?? target.closest(".field") ?? target.parentElement).append(chips);
});

// Taking the focus away from the field would fold the keypad.
chips.addEventListener("pointerdown", (event) => event.preventDefault());
chips.addEventListener("mousedown", (event) => event.preventDefault());
chips.addEventListener("click", ({ target }) => {
  const text = target.closest("button")?.textContent;
  if (!text) return;
  if (text === "16ths") drawChips(SIXTEENTHS, "8ths");
  else if (text === "8ths") drawChips(EIGHTHS, "16ths");
  else insertAtCaret(measuring, text);
});

// Lengths: how what is typed reads, said under the field; the field itself is never rewritten.

const readingTimers = new WeakMap();

async function showReading(input) {
  const reading = document.getElementById(`${input.id}_reading`);
  if (!reading) return;
  const asked = new URLSearchParams({ value: input.value, bare: input.dataset.length });
  try {
    const answer = await fetch(`${input.dataset.reading}?${asked}`);
    if (answer.ok && !answer.redirected && input.value === asked.get("value")) reading.textContent = await answer.text();
  } catch {
    reading.textContent = "";
  }
}

document.addEventListener("input", ({ target }) => {
  if (!target.matches("input[data-reading]")) return;
  clearTimeout(readingTimers.get(target));
  readingTimers.set(target, setTimeout(() => showReading(target), 300));
});

// Saving: said when it takes more than a blink; when it fails, said until something works again.

let underWay = 0;
let savingTimer;

function showSaving(form) {
  const line = document.querySelector(".saving");
  line.textContent = form?.dataset.draws ?? "Saving";
  line.classList.toggle("drawing", Boolean(form?.dataset.draws));
  clearTimeout(savingTimer);
  savingTimer = setTimeout(() => { line.hidden = false; }, 300);
}

function hideSaving() {
  clearTimeout(savingTimer);
  document.querySelector(".saving").hidden = true;
}

function say(trouble) {
  const banner = document.querySelector(".not-saved");
  banner.textContent = trouble;
  banner.hidden = false;
}

// What a page asks for by itself, to be better than at first, isn't saving: nobody waits for it.
function isByItself({ requestConfig }) {
  const event = requestConfig?.triggeringEvent;
  return !event || event.type === "better-found";
}

function sayFailed({ detail }) {
  if (detail.requestConfig?.verb === "get" || isByItself(detail)) say("Benchrule did not answer. Numbers on this page may be old.");
  else say("Not saved. What you typed is still here: change it again, or reload the page to try once more.");
}

document.addEventListener("htmx:beforeRequest", ({ detail }) => {
  if (isByItself(detail)) return;
  underWay += 1;
  showSaving();
});
document.addEventListener("htmx:afterRequest", ({ detail }) => {
  if (!isByItself(detail)) underWay = Math.max(0, underWay - 1);
  if (!underWay) hideSaving();
  if (detail.successful) document.querySelector(".not-saved").hidden = true;
});
document.addEventListener("htmx:responseError", sayFailed);
document.addEventListener("htmx:sendError", sayFailed);
document.addEventListener("htmx:timeout", sayFailed);

// A session that ended answers with the sign-in page, which must not land inside this one.
document.addEventListener("htmx:beforeSwap", (event) => {
  const answered = event.detail.xhr.responseURL;
  if (!answered || new URL(answered).pathname !== document.body.dataset.signIn) return;
  event.detail.shouldSwap = false;
  say("Not saved: you are signed out. Sign in again in another tab, then change it once more here.");
});
document.addEventListener("htmx:afterSwap", ({ detail: { target } }) => focusSummary(target.isConnected ? target : document));

// What was opened under the price stays open when the price comes anew.

let opened = [];
document.addEventListener("htmx:beforeSwap", ({ detail }) => {
  opened = [...detail.target.querySelectorAll("details[id][open]")].map(({ id }) => id);
});
document.addEventListener("htmx:afterSwap", () => {
  for (const id of opened) document.getElementById(id)?.setAttribute("open", "");
  opened = [];
});

// Better boards, or a shorter plan, are shown in the place of what is on the screen. A link pressed there and gone before it is
// let go would never be followed: they wait until it is.

let pressed = null;
let betterWaits = false;

function letGo() {
  pressed = null;
  if (betterWaits) document.body.dispatchEvent(new Event("better-found"));
  betterWaits = false;
}

document.addEventListener("pointerdown", ({ target }) => { pressed = target; }, true);
document.addEventListener("pointerup", () => setTimeout(letGo)); // after the click, which comes right behind
document.addEventListener("pointercancel", letGo);
document.addEventListener("htmx:beforeSwap", ({ detail }) => {
  if (detail.requestConfig.triggeringEvent?.type !== "better-found" || !detail.target.contains(pressed)) return;
  detail.shouldSwap = false;
  betterWaits = true;
});

// A plain form is sent once, however often its button is tapped. One that answers with a file
// leaves the page standing, so it opens again after a while.

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (event.defaultPrevented || form.method !== "post") return;
  if (form.dataset.sent) {
    event.preventDefault();
    return;
  }
  form.dataset.sent = "yes";
  event.submitter?.setAttribute("aria-disabled", "true");
  showSaving(form);
  setTimeout(() => reopen(form), 10_000);
});

function reopen(form) {
  delete form.dataset.sent;
  form.querySelectorAll("[aria-disabled]").forEach((button) => button.removeAttribute("aria-disabled"));
  hideSaving();
}

window.addEventListener("pageshow", () => document.querySelectorAll("form[data-sent]").forEach(reopen));

focusSummary(document);

// A list to choose from is narrowed as one types; what is chosen stays among it. Folded groups open for
// what is found, and say how much of them is chosen.

document.addEventListener("input", ({ target }) => {
  if (!target.matches("input[data-filters]")) return;
  const words = target.value.toLowerCase().split(/\s+/).filter(Boolean);
  const list = document.querySelector(target.dataset.filters);
  for (const row of list.querySelectorAll("[data-row]")) {
    const text = row.dataset.find ?? row.textContent.toLowerCase();
    const chosen = row.querySelector("input[type=checkbox]")?.checked;
    row.hidden = !chosen && !words.every((word) => text.includes(word));
  }
  for (const group of list.querySelectorAll("[data-group]")) {
    group.hidden = !group.querySelector("[data-row]:not([hidden])");
    if (group.matches("details")) group.open = words.length > 0;
  }
  list.querySelector("[data-none]").hidden = list.querySelector("[data-group]:not([hidden])") !== null;
});

document.addEventListener("change", ({ target }) => {
  const said = target.closest("details[data-group]")?.querySelector("[data-chosen]");
  if (!said) return;
  const chosen = target.closest("[data-group]").querySelectorAll(":checked").length;
  said.textContent = chosen ? `, ${chosen} chosen` : "";
});

// The key for the one search: "/" outside of any field.

document.addEventListener("keydown", (event) => {
  if (event.key !== "/" || event.ctrlKey || event.metaKey || event.altKey) return;
  if (event.target.closest("input, textarea, select, [contenteditable]")) return;
  const find = document.getElementById("find-all");
  if (!find) return;
  event.preventDefault();
  find.focus();
  find.select();
});

// A link to hand over: a button that copies it, where the browser lets a page do that.

for (const button of document.querySelectorAll("button[data-copies]")) {
  button.hidden = !navigator.clipboard;
  button.addEventListener("click", async () => {
    const input = document.getElementById(button.dataset.copies);
    try {
      await navigator.clipboard.writeText(input.value);
      button.textContent = "Copied";
    } catch {
      input.focus();
      input.select();
    }
  });
}
