// The phone's own database: records until the server acknowledges them, jobs as fetched last, rooms begun.

import { openDB } from "../vendor/idb/idb.js";

const STRICT = { durability: "strict" }; // kept on the phone's disk before the page says so
let opened;

function database() {
  opened ??= openDB("benchrule", 1, {
    upgrade(db) {
      db.createObjectStore("records", { keyPath: "order", autoIncrement: true }).createIndex("key", "key", { unique: true });
      db.createObjectStore("kept");
      db.createObjectStore("begun");
    },
    blocking(from, to, event) { // a newer version of the site changes the database in another tab
      event.target.close();
      opened = undefined;
    },
    terminated() { opened = undefined; },
  });
  return opened;
}

async function change(store, act) {
  const transaction = (await database()).transaction(store, "readwrite", STRICT);
  const [result] = await Promise.all([act(transaction.store), transaction.done]);
  return result;
}

const channel = "BroadcastChannel" in globalThis ? new BroadcastChannel("benchrule-records") : null;
export const changes = new EventTarget();
channel?.addEventListener("message", () => changes.dispatchEvent(new Event("changed")));

function tell() {
  changes.dispatchEvent(new Event("changed"));
  channel?.postMessage("changed");
}

export function newKey() {
  return crypto.randomUUID().replaceAll("-", "");
}

export async function addRecord(record) {
  await change("records", (store) => store.add({ state: "waiting", ...record }));
  tell();
}

export async function putRecord(record) {
  await change("records", (store) => store.put(record));
  tell();
}

export async function removeRecord(record) {
  await change("records", (store) => store.delete(record.order));
  tell();
}

export async function allRecords() {
  return (await database()).getAll("records"); // by `order`
}

export async function recordOf(key) {
  return (await database()).getFromIndex("records", "key", key);
}

export async function countRecords() {
  return (await database()).count("records");
}

export async function kept(name) {
  return (await database()).get("kept", name);
}

export async function keep(name, value) {
  await change("kept", (store) => store.put(value, name));
}

export async function forgetKept() {
  await change("kept", (store) => store.clear());
}

// A page that goes away takes along what the database hasn't written yet: the last step, but for its photos, is also
// where it is kept at once, until the database has it.
const LAST_STEP = "last step: ";

export async function begun(name) {
  const written = await (await database()).get("begun", name);
  const last = localStorage.getItem(LAST_STEP + name);
  return last ? { photos: [], ...written, ...JSON.parse(last) } : written;
}

export async function begin(name, { photos, ...typed }) {
  const step = JSON.stringify(typed);
  try {
    localStorage.setItem(LAST_STEP + name, step);
  } catch { // full: the database has more room, and an older step mustn't stand for what goes there
    localStorage.removeItem(LAST_STEP + name);
  }
  await change("begun", (store) => store.put({ ...typed, photos }, name));
  if (localStorage.getItem(LAST_STEP + name) === step) localStorage.removeItem(LAST_STEP + name); // not that of a later step
}

export async function allBegun() {
  const written = await (await database()).getAllKeys("begun");
  const last = Object.keys(localStorage).filter((key) => key.startsWith(LAST_STEP)).map((key) => key.slice(LAST_STEP.length));
  return Promise.all([...new Set([...written, ...last])].map(async (name) => [name, await begun(name)]));
}

// A room is moved from what is begun to the records, with its photos, in one step: never lost, never in both.
export async function finishBegun(name, ...records) {
  const transaction = (await database()).transaction(["begun", "records"], "readwrite", STRICT);
  await Promise.all([
    transaction.objectStore("begun").delete(name),
    ...records.map((record) => transaction.objectStore("records").add({ state: "waiting", ...record })),
    transaction.done,
  ]);
  localStorage.removeItem(LAST_STEP + name);
  tell();
}

// And back: a room that was refused is begun again, with the photos that wait for it.
export async function beginAgain(name, value, records) {
  const transaction = (await database()).transaction(["begun", "records"], "readwrite", STRICT);
  await Promise.all([
    transaction.objectStore("begun").put(value, name),
    ...records.map(({ order }) => transaction.objectStore("records").delete(order)),
    transaction.done,
  ]);
  localStorage.removeItem(LAST_STEP + name);
  tell();
}
