// Sends what waits, one after another, each until the server acknowledges it. Knows neither page nor database:
// `store` and `server` are handed in, so that every cut of the connection can be tried in a test.

const CLOCK_SLACK = 10 * 60 * 1000;
const TIMED = new Set(["hours", "clock-start", "clock-stop", "receipt", "finished", "note", "item", "done"]);
export const CLOCK_CHANGED = "This phone's clock was wrong when you kept this, or is now. Look at the day and the time, then keep it again.";

export const MOST_FAULTS = 3;
export const FAULT = `Benchrule failed at this one ${MOST_FAULTS} times. It stays on this phone, and the others are sent. Try it again later, or save it as a file.`;

// What came of sending: "sent" (nothing waits), "refused" (something needs him), "signed-out", "other-user",
// "no-connection", "fault" (the server failed at a record that it is asked again).
export async function sendWaiting(store, server) {
  const all = await store.all();
  if (!all.some((record) => record.state === "waiting")) return all.length ? "refused" : "sent";
  let contact;
  try {
    contact = await server.contact();
  } catch {
    return "no-connection";
  }
  if (!contact.user) return "signed-out";
  const offset = contact.now - server.clock();
  let outcome = "sent";
  const held = new Set();
  for (const record of all) {
    if (record.state !== "waiting" || (record.after && held.has(record.after))) {
      held.add(record.key);
      outcome = "refused";
      continue;
    }
    if (record.user !== contact.user) {
      held.add(record.key);
      outcome = "other-user";
      continue;
    }
    if (TIMED.has(record.kind) && (record.doubtful || Math.abs(offset - record.offset) > CLOCK_SLACK)) {
      await store.put({ ...record, state: "refused", sentence: CLOCK_CHANGED, offset, doubtful: false });
      held.add(record.key);
      outcome = "refused";
      continue;
    }
    let answer;
    try {
      answer = await sendOne(store, server, record, contact.token);
    } catch {
      return "no-connection"; // whether it was kept isn't known: it is sent again, with its key
    }
    if (answer.kept) await store.remove(record);
    else if (answer.signedOut) return "signed-out";
    else if (answer.sentence) {
      await store.put({ ...record, tried: true, state: "refused", sentence: answer.sentence, errors: answer.fields ?? {}, answer });
      held.add(record.key);
      outcome = "refused";
    } else if (!answer.fault) return "no-connection";
    else if ((record.faults ?? 0) + 1 < MOST_FAULTS) {
      await store.put({ ...record, tried: true, faults: (record.faults ?? 0) + 1 });
      return "fault"; // all of it stays, and is sent again
    } else {
      await store.put({ ...record, tried: true, faults: 0, state: "refused", sentence: FAULT, errors: {}, answer: {} });
      held.add(record.key);
      outcome = "refused";
    }
  }
  return outcome;
}

async function sendOne(store, server, record, token) {
  // One that was sent before may be there already: then it isn't sent again with its photos.
  if (record.tried && await server.isKept(record.key)) return { kept: true };
  if (!record.tried) await store.put({ ...record, tried: true });
  return server.send(record, token);
}
