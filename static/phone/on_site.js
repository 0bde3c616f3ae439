// The page for on site: read from what the phone keeps, and kept on the phone at the moment it is typed.

import { choices, onlyIn, resolved } from "./conflict.js";
import { counted, dayInWords, drawing, h, isoDay, timeInWords } from "./dom.js";
import { measurePage } from "./measure.js";
import { FAULT } from "./outbox.js";
import { asDataUrl, shrunk } from "./photos.js";
import { drawPlan } from "./plan.js";
import { RECORDS } from "./records.js";
import { addressesOf, askToPersist, keptJobs, refresh, send, startWorker } from "./sending.js";
import {
  addRecord, allBegun, allRecords, begin, beginAgain, begun, changes, countRecords, finishBegun, keep, kept, newKey, putRecord, recordOf, removeRecord,
} from "./store.js";
import { fromTexts, letter, wallOf } from "./walk.js";

const addresses = addressesOf(document.body);
const main = document.getElementById("main");
const state = document.getElementById("site-state");
const PLACES = [["price", "Price"], ["paperwork", "Paperwork"], ["money", "Money"]];
let jobs;
let offset = 0;
let said = "";
let contact = "unknown"; // "yes", "no", "signed-out"

const now = () => Date.now() + (Math.abs(offset) > 120_000 ? offset : 0);
const jobOf = (id) => jobs?.jobs.find((job) => job.id === Number(id));

// Pages

function page(name, ...children) {
  document.getElementById("site-name").textContent = name;
  document.querySelector(".site-back").hidden = location.hash.length < 3;
  document.title = `${name} - Benchrule`;
  main.replaceChildren(...children.flat().filter(Boolean));
  if (said) main.prepend(h("p", { class: "notice", role: "status" }, said));
  said = "";
}

function go(hash) {
  if (location.hash === hash) show();
  else location.hash = hash;
}

function link(hash, ...words) {
  return h("a", { href: `/on-site/${hash}` }, ...words);
}

async function todayPage() {
  if (!jobs) {
    const words = contact === "signed-out" ? "Sign in, and the phone keeps your open jobs." : "This phone keeps no jobs yet. Open this page once with a connection, signed in.";
    page("On site", h("h1", {}, "On site"), h("p", {}, words), h("p", {}, h("a", { class: "button", href: `${document.body.dataset.signIn}?next=/on-site/` }, "Sign in")), await begunRooms());
    return;
  }
  const today = isoDay(now());
  const steps = jobs.jobs.flatMap((job) => job.days.filter(({ day }) => day === today).flatMap(({ steps: each }) => each.map((step) => ({ ...step, job }))));
  page("On site",
    h("h1", {}, "On site"),
    h("p", { class: "second" }, `${dayInWords(today)}. Jobs as of ${dayInWords(isoDay(jobs.fetched))}, ${timeInWords(jobs.fetched)}.`),
    await clockPart(),
    h("section", { "aria-labelledby": "todays" }, h("h2", { id: "todays" }, "Today"),
      steps.length ? h("ul", { class: "rows" }, steps.map((step) => h("li", {}, link(`#/jobs/${step.job.id}`, step.title, h("small", {}, ` ${step.job.name}${step.needs ? `. Needs ${step.needs}` : ""}`)), h("span", { class: "num" }, step.hours))))
        : h("p", { class: "second" }, "Nothing is planned for today.")),
    await begunRooms(),
    h("section", { "aria-labelledby": "open-jobs" }, h("h2", { id: "open-jobs" }, "Open jobs"),
      jobs.jobs.length ? h("ul", { class: "rows" }, jobs.jobs.map((job) => h("li", {}, link(`#/jobs/${job.id}`, job.name, h("small", {}, ` ${job.client}`)))))
        : h("p", { class: "empty" }, "No job is open.")));
}

async function begunRooms() {
  const rooms = await allBegun();
  if (!rooms.length) return null;
  return h("section", { "aria-labelledby": "begun" }, h("h2", { id: "begun" }, "Rooms begun on this phone"),
    h("ul", { class: "rows" }, rooms.map(([name, { room, title }]) => h("li", {}, link(`#/${name}`, room.name || title, h("small", {}, ` ${counted(room.walls.length, "wall")}`))))));
}

// The clock as it runs for this phone: what waits to be sent comes after what the server told.
async function runningClock() {
  const waiting = (await allRecords()).filter(({ kind, state: at }) => kind.startsWith("clock-") && at === "waiting");
  const last = waiting.at(-1);
  if (!last) return jobs?.clock ?? null;
  if (last.kind === "clock-stop") return null;
  return { job: last.job, on_what: last.fields.on_what[0], label: last.label, at: Number(last.fields.at[0]), key: last.key };
}

async function clockPart() {
  const clock = await runningClock();
  if (!clock) return null;
  const minutes = Math.max(0, Math.floor((now() - clock.at) / 60_000));
  return h("section", { class: "running", "aria-label": "The clock" },
    h("p", { class: "running-time" }, h("strong", {}, `${Math.floor(minutes / 60)}:${String(minutes % 60).padStart(2, "0")}`), h("span", { class: "second" }, ` since ${timeInWords(clock.at)}`)),
    h("p", {}, h("strong", {}, clock.label), h("br"), jobOf(clock.job)?.name ?? ""),
    h("button", { type: "button", class: "button", onclick: () => stopClock(clock) }, "Stop the clock"));
}

async function stopClock(clock) {
  const record = { kind: "clock-stop", job: clock.job, label: clock.label, after: clock.key, fields: { on_what: [clock.on_what], at: [String(now())] } };
  if (await keepRecord(record, "The clock is stopped.")) go(`#/jobs/${clock.job}`);
}

async function jobPage(id) {
  const job = jobOf(id);
  if (!job) return page("On site", h("h1", {}, "Not kept here"), h("p", {}, "The phone doesn't keep this job. With a connection, open it among all jobs."), h("p", {}, link("#/", "Back to what is kept")));
  const call = job.phone ? h("p", {}, h("a", { class: "button-plain", href: `tel:${job.phone.replace(/[^+\d]/g, "")}` }, `Call ${job.client}, ${job.phone}`)) : null;
  const waiting = await allRecords();
  const ticks = waiting.filter(({ kind }) => kind === "finished").map(({ fields }) => fields.work[0]);
  const done = waiting.filter(({ kind }) => kind === "done").map(({ fields }) => fields.item[0]);
  page(job.name,
    h("h1", {}, job.name),
    h("p", {}, job.client, h("br"), job.address.replace(/\s*\n\s*/g, ", ")), call,
    await clockPart(),
    h("nav", { class: "site-acts", "aria-label": "Keep" },
      link(`#/jobs/${id}/clock`, "Clock"), link(`#/jobs/${id}/hours`, "Hours"), link(`#/jobs/${id}/receipt`, "Receipt"), link(`#/jobs/${id}/note`, "Note"), job.signed ? link(`#/jobs/${id}/found`, "Found") : null, job.signed ? link(`#/jobs/${id}/item`, "Punch list") : null, link(`#/jobs/${id}/room`, "Measure a room")),
    h("section", { "aria-labelledby": "days" }, h("h2", { id: "days" }, "Days"),
      job.days.length ? job.days.map(({ day, steps }) => h("div", { class: "site-day" }, h("h3", {}, dayInWords(day)), h("ul", { class: "rows" }, steps.map((step) => h("li", {}, h("span", {}, step.title, step.needs && h("small", {}, ` ${step.needs}`)), h("span", { class: "num" }, step.hours))))))
        : h("p", { class: "second" }, "No day is planned from here on.")),
    job.work.length ? h("section", { "aria-labelledby": "work" }, h("h2", { id: "work" }, "Work"), h("ul", { class: "rows" }, job.work.map((line) => h("li", {}, h("span", {}, line.title),
      line.finished || ticks.includes(line.place) ? h("span", { class: "second" }, "finished")
        : h("button", { type: "button", class: "button-plain", "aria-label": `Finished: ${line.title}`, onclick: () => tick(job, line) }, "Finished"))))) : null,
    job.left?.length ? h("section", { "aria-labelledby": "left" }, h("h2", { id: "left" }, "Left on the punch list"), h("ul", { class: "rows" }, job.left.map(({ token, label }) => h("li", {}, h("span", {}, label),
      done.includes(token) ? h("span", { class: "second" }, "done") : h("a", { class: "button-plain", href: `/on-site/#/jobs/${id}/done/${token}`, "aria-label": `Done: ${label}` }, "Done"))))) : null,
    h("section", { "aria-labelledby": "rooms" }, h("h2", { id: "rooms" }, "Rooms"), job.rooms.length ? job.rooms.map(roomPart) : h("p", { class: "second" }, "No room is measured yet.")),
    job.notes ? h("section", { "aria-labelledby": "notes" }, h("h2", { id: "notes" }, "Notes"), h("p", { class: "site-notes" }, job.notes)) : null,
    h("section", { "aria-labelledby": "online" }, h("h2", { id: "online" }, "Needs a connection"),
      h("p", { class: "second" }, "Prices, issuing, signing and billing are done on the job's own pages, which need a connection."),
      h("ul", { class: "rows" }, PLACES.map(([place, words]) => h("li", {}, h("a", { href: `/jobs/${id}/${place}/` }, words))))));
}

function roomPart(room) {
  const svg = room.svg && drawing(room.svg);
  return h("details", { class: "site-room" }, h("summary", {}, room.name, h("small", {}, ` ${room.figures.map(({ label, amount }) => `${label} ${amount}`).join(", ")}`)),
    svg ? h("figure", { class: "plan" }, svg) : null,
    room.remarks.map((words) => h("p", { class: "second" }, words)),
    (room.photos ?? []).map(({ number, says }) => h("p", { class: "second" }, `Photo ${number}: ${says}`)),
    h("p", {}, `Ceiling ${room.height} high. Walls: ${room.walls.join(", ")}.`),
    h("p", {}, link(`#/rooms/${room.id}`, `Change ${room.name} by walking it`)));
}

async function tick(job, line) {
  const record = { kind: "finished", job: job.id, label: line.title, fields: { work: [line.place], on: [isoDay(now())] } };
  if (await keepRecord(record, `Finished: ${line.title}.`)) show();
}

async function clockPage(id) {
  const job = jobOf(id);
  if (!job) return jobPage(id);
  const start = async (item) => {
    const clock = await runningClock();
    const record = { kind: "clock-start", job: job.id, label: item.label, after: clock?.key, fields: { on_what: [item.token], at: [String(now())] } };
    if (await keepRecord(record, `The clock runs: ${item.label}.`)) go(`#/jobs/${id}`);
  };
  return page(job.name, h("h1", {}, "Clock"), await clockPart(), h("p", {}, "Tap what you work on, and the clock runs."),
    targetsOf(job).map((group) => h("section", {}, h("h2", {}, group.label), h("ul", { class: "site-taps" }, group.items.map((item) => h("li", {}, h("button", { type: "button", class: "button-plain", onclick: () => start(item) }, item.label)))))));
}

function targetsOf(job) {
  const groups = job.targets.filter(({ items }) => items.length);
  return groups.length ? groups : [{ label: "The job itself", items: [{ token: "job-quoting", label: "Measuring and quoting" }, { token: "job-travel", label: "Supply runs and driving" }] }];
}

// Forms. Each keeps its record on the phone before it says so; what can't be kept stays typed.

async function formPage(kind, job, record = null, item = "") {
  const { title, button, fields } = RECORDS[kind];
  const values = record?.fields ?? { item: [item] };
  const inputs = new Map();
  const asked = fields.filter(({ name }) => !(record && name === "photos" && record.photos?.length));
  const rows = asked.map((field) => fieldRow(field, values[field.name]?.[0], record?.errors?.[field.name], job, inputs));
  const trouble = h("p", { class: "caution", role: "alert", hidden: !record?.sentence }, record?.sentence ?? "");
  const submit = async (event) => {
    event.preventDefault();
    const typed = { ...values };
    for (const { name, type, label, optional } of asked) {
      if (type === "photo") continue;
      const input = inputs.get(name);
      typed[name] = [type === "tick" ? (input.checked ? "on" : "") : input.value.trim()];
      if (!typed[name][0] && !optional) {
        trouble.textContent = `${label}: type it, or choose one.`;
        trouble.hidden = false;
        inputs.get(name).focus();
        return;
      }
    }
    try {
      const files = [...(inputs.get("photos")?.files ?? [])];
      const most = asked.find(({ name }) => name === "photos")?.most ?? 1;
      const photos = files.length ? await Promise.all(files.slice(0, most).map(shrunk)) : record?.photos ?? [];
      const label = (inputs.get("on_what") ?? inputs.get("item"))?.selectedOptions?.[0]?.textContent ?? record?.label ?? "";
      if (record) await putRecord({ ...record, fields: typed, photos, label, state: "waiting", sentence: "", errors: {}, offset });
      else if (!(await keepRecord({ kind, job: job.id, fields: typed, photos, label }, `${title}: kept on this phone.`, true))) return;
      sendNow();
      go(record ? "#/waits" : `#/jobs/${job.id}`);
    } catch (error) {
      trouble.textContent = couldNotKeep(error);
      trouble.hidden = false;
    }
  };
  page(job?.name ?? title, h("h1", {}, record ? `${title}: put it right` : title),
    h("form", { novalidate: true, onsubmit: submit }, trouble, rows.filter(Boolean), h("p", { class: "toolbar" }, h("button", { class: "button" }, record ? "Keep it so" : button), link(record ? "#/waits" : `#/jobs/${job.id}`, "Cancel"))));
}

function fieldRow(field, value, error, job, inputs) {
  const { name, label, type, choices, hint, inputmode, optional, list, most } = field;
  const id = `field-${name}`;
  if (type === "hidden") {
    inputs.set(name, h("input", { type, value: field.value }));
    return null;
  }
  let input;
  if (choices) {
    const options = (items) => items.map((item) => h("option", { value: item.token, selected: item.token === value }, item.label));
    const offered = choices === "targets" ? (job ? targetsOf(job) : []).map((group) => h("optgroup", { label: group.label }, options(group.items)))
      : options(choices === "rooms" ? (job?.rooms ?? []).map((room) => ({ token: String(room.id), label: room.name })) : choices === "left" ? job?.left ?? [] : choices);
    input = h("select", { id }, h("option", { value: "" }, optional ? "None" : "Choose"), offered);
  } else if (type === "area") input = h("textarea", { id, rows: 4, maxlength: 2000, value: value ?? "" });
  else if (type === "tick") input = h("input", { id, type: "checkbox", checked: value === "on" });
  else if (type === "photo") input = h("input", { id, type: "file", accept: "image/*", multiple: Boolean(most), capture: most ? null : "environment" });
  else input = h("input", { id, type: type ?? "text", inputmode, autocomplete: "off", maxlength: 120, list: list && "site-list", value: value ?? (type === "date" ? isoDay(now()) : "") });
  if (error) input.setAttribute("aria-invalid", "true");
  if (hint || error) input.setAttribute("aria-describedby", `${id}-hint`);
  inputs.set(name, input);
  if (type === "tick") return h("div", { class: "field field-check" }, input, h("label", { for: id }, label));
  return h("div", { class: error ? "field field-wrong" : "field" }, h("label", { for: id }, optional && type !== "photo" ? `${label} (if any)` : label),
    hint || error ? h("p", { class: error ? "errorlist" : "hint", id: `${id}-hint` }, error ?? hint) : null, input,
    list && jobs ? h("datalist", { id: "site-list" }, jobs[list].map((each) => h("option", { value: each }))) : null);
}

function couldNotKeep(error) {
  const full = error?.name === "QuotaExceededError" ? "its storage is full" : `its database can't be written to, most often because its storage is full (${error?.name ?? error})`;
  return `This isn't kept on the phone: ${full}. Free some space, then keep it again; what you typed still stands here.`;
}

// Keeps a record; returns whether it is on the phone.
async function keepRecord(record, words, throws = false) {
  try {
    const doubtful = now() < jobs.fetched - 120_000; // before the last contact: the clock was set back
    await addRecord({ key: newKey(), user: jobs.user, phone: jobs.phone, offset, doubtful, at: now(), photos: [], ...record });
    await persistence();
  } catch (error) {
    if (throws) throw error;
    said = couldNotKeep(error);
    show();
    return false;
  }
  said = words;
  sendNow();
  return true;
}

// What the phone promised of what is kept: asked at the first record; later it may have thought better of it.
async function persistence() {
  const before = await kept("persisted");
  if (before === "granted") return before;
  const isAsked = !before || await navigator.storage?.persisted?.();
  const after = !isAsked ? before : await askToPersist() ? "granted" : "refused";
  if (after !== before) await keep("persisted", after);
  return after;
}

// Measuring

async function measure(name, job, room) {
  const before = await begun(name);
  if (!before && (!job || (name.startsWith("rooms/") && !room))) return jobPage(job?.id);
  const lastRoom = job?.rooms.at(-1);
  const opened = before?.opened ?? room?.texts ?? null;
  const start = before ?? (room ? { room: fromTexts(room.texts, jobs.metric), past: [], future: [] } : null);
  const metric = jobs?.metric ?? before?.metric ?? false;
  const title = room ? `Change ${room.name}` : "Measure a room";
  const back = `#/jobs/${job?.id ?? before?.job}`;
  const taken = (job?.rooms ?? []).flatMap(({ photos = [] }) => photos);
  const numbered = {
    photos: (room?.photos ?? []).map((photo) => ({ ...photo, wall: wallOf(photo.wall) })),
    next: Math.max(0, ...taken.map(({ number }) => number)) + 1,
  };
  page(room?.name ?? "New room");
  const box = h("div", {});
  main.append(box);
  measurePage(box, {
    begun: start, metric, title, numbered,
    height: lastRoom ? lastRoom.texts.height[0] : metric ? "2.44 m" : "8'",
    keepBegun: async (each) => {
      try {
        await begin(name, { ...each, opened, job: job?.id ?? before?.job, roomId: room?.id ?? before?.roomId });
      } catch (error) {
        state.textContent = couldNotKeep(error);
      }
    },
    finish: async (fields, photos) => {
      if (!jobs) {
        state.textContent = "Sign in first: the room stays on this phone as it is begun.";
        return;
      }
      const common = { user: jobs.user, phone: jobs.phone, offset, at: now(), job: job?.id ?? before?.job, room: room?.id ?? before?.roomId };
      const record = { ...common, key: newKey(), photos: [], kind: "room", opened, fields };
      const records = photos.map((photo) => photoRecord(photo, common, record));
      try {
        await finishBegun(name, record, ...records);
        await persistence();
      } catch (error) {
        state.textContent = couldNotKeep(error);
        return;
      }
      said = `${fields.name[0]} is kept on this phone.`;
      sendNow();
      go(back);
    },
    leave: () => go(back),
  });
}

// A photo of a room is a record of its own, after that of the room.
function photoRecord({ wall, offset, away, says, blob }, common, room) {
  const letters = wall === null ? "" : letter(wall);
  const fields = { wall: [letters], offset: [offset], away: [away], says: [says], at: [String(common.at)] };
  const label = `${room.fields.name[0]}${letters ? `, wall ${letters}` : ""}${says ? `: ${says}` : ""}`;
  return { ...common, key: newKey(), kind: "photo", of: room.key, after: room.key, photos: [blob], fields, label };
}

// What waits

async function waitsPage() {
  const records = await allRecords();
  const persisted = records.length ? await persistence() : await kept("persisted");
  page("Waiting", h("h1", {}, "On this phone, not sent yet"),
    records.length ? [
      h("p", {}, h("button", { type: "button", class: "button", onclick: () => sendNow() }, "Send now"), " ", h("button", { type: "button", class: "button-plain", onclick: saveAsFile }, "Save all as a file")),
      h("ol", { class: "site-records" }, records.map(recordRow)),
    ] : h("p", { class: "empty" }, "Everything is sent."),
    h("p", { class: "second" }, persisted === "granted" ? "The phone has promised not to clean this up." : persisted === "refused" ? "The phone may clean this up when it runs short of space: send it soon. Put Benchrule on the first screen, and most phones keep it." : ""));
}

function recordRow(record) {
  const { title, words } = RECORDS[record.kind];
  const about = `${title}: ${words(record)}`;
  return h("li", { class: record.state === "refused" ? "site-refused" : "" },
    h("p", {}, h("strong", {}, about), h("br"), h("small", {}, `${jobOf(record.job)?.name ?? ""}, kept ${dayInWords(isoDay(record.at))} ${timeInWords(record.at)}${record.photos?.length ? ", with its photo" : ""}`)),
    record.sentence ? h("p", { class: "caution" }, record.sentence) : null,
    h("p", { class: "toolbar" },
      record.state === "refused" ? link(`#/waits/${record.key}`, "Put it right") : null,
      record.sentence === FAULT ? h("button", { type: "button", class: "button-plain", onclick: () => tryAgain(record) }, "Try again") : null,
      h("button", { type: "button", class: "button-plain", onclick: () => saveAsFile([record]) }, "Save as a file"),
      h("button", { type: "button", class: "button-plain", onclick: () => discard(record, about) }, "Leave it out")));
}

async function tryAgain(record) {
  await putRecord({ ...record, state: "waiting", sentence: "" });
  await sendNow();
  await show();
}

async function discard(record, about) {
  if (!confirm(`${about}\n\nIt isn't sent, and is gone from this phone then. Leave it out?`)) return;
  await removeRecord(record);
  show();
}

async function saveAsFile(some) {
  const records = Array.isArray(some) ? some : await allRecords();
  const texts = await Promise.all(records.map(async ({ photos = [], ...record }) => ({ ...record, photos: await Promise.all(photos.map(asDataUrl)) })));
  const file = new Blob([JSON.stringify(texts, null, 1)], { type: "application/json" });
  const saved = h("a", { href: URL.createObjectURL(file), download: `benchrule-${isoDay(now())}.json` });
  saved.click();
  setTimeout(() => URL.revokeObjectURL(saved.href), 60_000);
}

async function rightPage(key) {
  const record = await recordOf(key);
  if (!record) return go("#/waits");
  if (record.kind !== "room") return formPage(record.kind, jobOf(record.job), record);
  if (record.answer?.conflicts) return conflictPage(record);
  // A room goes back to where it is walked, and is kept anew from there.
  const name = record.answer?.gone || !record.room ? `jobs/${record.job}/room` : `rooms/${record.room}`;
  const room = fromTexts(record.fields, jobs?.metric ?? false);
  const begunRoom = { room, past: [], future: [], metric: room.metric, title: room.name, opened: record.answer?.gone ? null : record.opened, job: record.job, roomId: record.answer?.gone ? undefined : record.room };
  const ofIt = (await allRecords()).filter(({ kind, of }) => kind === "photo" && of === record.key);
  begunRoom.photos = ofIt.map(({ fields, photos: [blob] }) => ({
    wall: wallOf(fields.wall[0]), offset: fields.offset[0], away: fields.away[0], says: fields.says[0], blob,
  }));
  await beginAgain(name, begunRoom, [record, ...ofIt]);
  said = record.sentence;
  return go(`#/${name}`);
}

// Both values of all that both changed, and both plans side by side: he chooses.
function conflictPage(record) {
  const { merged, stored } = record.answer;
  const metric = jobs?.metric ?? false;
  const { isDrawn, values } = choices(record.answer, metric);
  const submit = async (event) => {
    event.preventDefault();
    const chosen = Object.fromEntries(new FormData(event.target));
    await putRecord({ ...record, fields: resolved(record.answer, record.fields, chosen), opened: stored, state: "waiting", sentence: "", answer: null });
    sendNow();
    go("#/waits");
  };
  const version = (words, texts, others) => h("figure", { class: "both-plan" }, h("figcaption", {}, words), drawPlan(fromTexts(texts, metric), null, null, [180, 170]),
    h("ul", {}, onlyIn(texts, others, metric).map((row) => h("li", {}, row))));
  page("Changed twice", h("h1", {}, `${record.fields.name[0]} was changed elsewhere, too`),
    isDrawn ? h("div", { class: "both" }, version("Yours, from this phone", record.fields, stored), version("Theirs, saved meanwhile", stored, record.fields)) : null,
    h("form", { onsubmit: submit }, values.map(({ name, label, mine, theirs }) => h("fieldset", { class: "part" }, h("legend", {}, label),
      h("p", { class: "field-check" }, h("input", { type: "radio", name, value: "mine", id: `mine-${name}`, required: true }), h("label", { for: `mine-${name}` }, `Yours: ${mine}`)),
      h("p", { class: "field-check" }, h("input", { type: "radio", name, value: "theirs", id: `theirs-${name}` }), h("label", { for: `theirs-${name}` }, `Theirs: ${theirs}`)))),
    h("p", { class: "toolbar" }, h("button", { class: "button" }, "Keep what is chosen"), link("#/waits", "Cancel"))));
}

// Sending, fetching, and where one is

async function showCount() {
  const count = await countRecords();
  const waits = document.getElementById("site-waits");
  waits.textContent = count ? `${count} not sent` : "All sent";
  waits.setAttribute("aria-label", count ? `${count} not sent: kept on this phone` : "All sent from this phone"); // begins with what is read
  waits.classList.toggle("site-some", count > 0);
}

const OUTCOMES = {
  sent: "", sending: "", refused: "Something can't be taken as it is: look at what waits.", "signed-out": "Sign in, and what waits is sent.",
  "other-user": "Somebody else is signed in: what waits is sent when you sign in again.", "no-connection": "No signal: kept on this phone, sent when there is.",
  fault: "Benchrule failed at one of them: it is tried again.",
};

let turn = Promise.resolve();
function sendNow() {
  turn = turn.then(async () => {
    const outcome = await send(addresses);
    contact = outcome === "no-connection" ? "no" : outcome === "signed-out" ? "signed-out" : contact;
    state.textContent = OUTCOMES[outcome];
    await showCount();
    if (outcome === "refused" && location.hash === "#/waits") await show();
    return outcome;
  }).catch((error) => { state.textContent = couldNotKeep(error); });
  return turn;
}

async function fetchJobs() {
  try {
    const answer = await refresh(addresses);
    contact = answer.signedOut ? "signed-out" : "yes";
    jobs = await keptJobs();
    offset = await kept("offset") ?? 0;
    if (answer.ended) state.textContent = "This phone was ended on the Firm page: the jobs kept on it are gone.";
    else if (answer.signedOut) state.textContent = OUTCOMES["signed-out"];
  } catch {
    contact = "no";
    state.textContent = OUTCOMES["no-connection"];
  }
}

async function show() {
  const [first, id, third, fourth] = location.hash.replace(/^#\//, "").split("/");
  if (first === "jobs" && third === "room") return measure(`jobs/${id}/room`, jobOf(id));
  if (first === "jobs" && third === "clock") return clockPage(id);
  if (first === "jobs" && RECORDS[third]?.button && jobOf(id)) return formPage(third, jobOf(id), null, fourth);
  if (first === "jobs") return jobPage(id);
  if (first === "rooms") {
    const job = jobs?.jobs.find(({ rooms }) => rooms.some((room) => room.id === Number(id)));
    return measure(`rooms/${id}`, job, job?.rooms.find((room) => room.id === Number(id)));
  }
  if (first === "waits") return id ? rightPage(id) : waitsPage();
  return todayPage();
}

// Shown in the place of a page that can't be reached: what the phone keeps of it.
function unreachable() {
  if (location.pathname === "/on-site/") return;
  const [, job] = /^\/jobs\/(\d+)\//.exec(location.pathname) ?? [];
  said = "No connection: that page needs one. Here is what this phone keeps.";
  history.replaceState(null, "", `/on-site/#/${job ? `jobs/${job}` : ""}`);
}

unreachable();
startWorker(document.body.dataset.worker);
addEventListener("hashchange", async () => {
  await show();
  if (!main.contains(document.activeElement)) main.focus();
  scrollTo(0, 0);
});
changes.addEventListener("changed", showCount);
jobs = await keptJobs();
offset = await kept("offset") ?? 0;
await show();
await showCount();
performance.mark("usable");

// What is typed in, or measured, is never drawn anew under his hands.
const isTyping = () => /room|hours|receipt|note|found|item|done|waits\/./.test(location.hash);

async function catchUp() {
  const had = jobs;
  const waiting = await countRecords();
  await fetchJobs();
  await sendNow();
  if (contact === "no") return;
  if (contact === "yes" && await countRecords() < waiting) await fetchJobs();
  if (!had || !isTyping()) await show();
}
addEventListener("online", catchUp);
document.addEventListener("visibilitychange", () => { if (!document.hidden) catchUp(); });
setInterval(async () => { if (await countRecords()) await sendNow(); }, 30_000);
await catchUp();
