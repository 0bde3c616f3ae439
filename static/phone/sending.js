// Joins the outbox with this phone's database and the server.

import { allRecords, keep, kept, putRecord, removeRecord, forgetKept } from "./store.js";
import { sendWaiting } from "./outbox.js";
import { serverAt } from "./server.js";

export function addressesOf({ dataset }) {
  return { contact: dataset.contact, jobs: dataset.jobs, records: dataset.records, signIn: dataset.signIn };
}

const store = { all: allRecords, put: putRecord, remove: removeRecord };

// One page sends at a time.
export async function send(addresses) {
  const act = () => sendWaiting(store, serverAt(addresses));
  if (!navigator.locks) return act();
  return navigator.locks.request("benchrule-outbox", { ifAvailable: true }, (lock) => (lock ? act() : "sending"));
}

// Fetches the jobs anew. Where the sign-in has ended, here or from elsewhere, what was kept of them goes.
export async function refresh(addresses) {
  const server = serverAt(addresses);
  const before = await kept("jobs");
  const { user, now, ended } = await server.contact(before?.phone);
  await keep("offset", now - Date.now());
  if (!user || ended) {
    await forgetKept();
    return { signedOut: true, ended };
  }
  const jobs = await server.jobs();
  if (!jobs) {
    await forgetKept();
    return { signedOut: true };
  }
  await keep("jobs", { ...jobs, fetched: now });
  return { jobs };
}

// The jobs that this phone keeps; none once the sign-in has run out.
export async function keptJobs() {
  const jobs = await kept("jobs");
  if (jobs && jobs.until < Date.now()) {
    await forgetKept();
    return undefined;
  }
  return jobs;
}

export function startWorker(address) {
  if (!("serviceWorker" in navigator)) return;
  navigator.serviceWorker.register(address).catch(() => {}); // without HTTPS: no signal, no page
}

// Asks the phone not to clean up what is kept; returns whether it promised that.
export async function askToPersist() {
  if (!navigator.storage?.persist) return false;
  return await navigator.storage.persisted() || navigator.storage.persist();
}
