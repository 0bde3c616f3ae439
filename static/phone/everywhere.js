// On every page: what waits is counted in sight and sent, and signing out asks where something waits.

import { addressesOf, send, startWorker } from "./sending.js";
import { changes, countRecords, forgetKept } from "./store.js";
import { counted } from "./dom.js";

const body = document.body;
const signOut = document.querySelector(`form[action="${body.dataset.signOut}"]`);

async function showCount() {
  const place = document.querySelector("[data-waits]");
  if (!place) return;
  const count = await countRecords();
  place.hidden = count === 0;
  place.textContent = `${counted(count, "record")} on this phone, not sent yet`;
}

signOut?.addEventListener("submit", async (event) => {
  event.preventDefault();
  event.stopImmediatePropagation();
  const count = await countRecords();
  const question = `${counted(count, "record")} on this phone ${count === 1 ? "isn't" : "aren't"} sent yet. They stay here and are sent when you sign in again. Sign out?`;
  if (count && !confirm(question)) return;
  await forgetKept();
  signOut.submit();
}, true);

if (body.dataset.user) {
  startWorker(body.dataset.worker);
  changes.addEventListener("changed", showCount);
  await showCount();
  const sendHere = () => send(addressesOf(body));
  addEventListener("online", sendHere);
  document.addEventListener("visibilitychange", () => { if (!document.hidden) sendHere(); });
  if (await countRecords()) await sendHere();
} else if (body.dataset.signedOut) {
  await forgetKept(); // the jobs on this phone end with the sign-in; what waits to be sent stays
}
