// What is asked of the server. Every answer that isn't its own, such as that of a hotel's sign-in, is a fault.

const PATIENCE = 20_000;
const PATIENCE_WITH_PHOTOS = 90_000;
const AWAY = new Set([408, 429, 502, 503, 504]); // nobody is at work there just now: whatever is sent

export function serverAt(addresses) {
  async function ask(address, options = {}, patience = PATIENCE) {
    return fetch(address, { cache: "no-store", credentials: "same-origin", signal: AbortSignal.timeout(patience), ...options });
  }

  async function json(answer) {
    if (!(answer.headers.get("Content-Type") ?? "").startsWith("application/json")) throw new Error("not an answer of Benchrule");
    return answer.json();
  }

  const isSignIn = (answer) => answer.redirected && new URL(answer.url).pathname === addresses.signIn;

  return {
    clock: () => Date.now(),

    async contact(phone = "") {
      const answer = await ask(`${addresses.contact}?phone=${encodeURIComponent(phone)}`);
      if (!answer.ok) throw new Error(`contact: ${answer.status}`);
      return json(answer);
    },

    async jobs() {
      const answer = await ask(addresses.jobs);
      if (isSignIn(answer)) return null;
      if (!answer.ok) throw new Error(`jobs: ${answer.status}`);
      return json(answer);
    },

    async isKept(key) {
      const answer = await ask(`${addresses.records}${key}/`);
      return answer.ok && !isSignIn(answer) && (await json(answer)).kept === key;
    },

    async send(record, token) {
      const body = new FormData();
      const meta = { form_key: record.key, kind: record.kind, job: record.job ?? "", room: record.room ?? "", of_record: record.of ?? "", phone: record.phone ?? "" };
      if (record.opened) meta.form_opened = JSON.stringify(record.opened);
      for (const [name, value] of Object.entries(meta)) body.append(name, value);
      for (const [name, texts] of Object.entries(record.fields)) for (const text of texts) body.append(name, text);
      for (const photo of record.photos ?? []) body.append("photos", photo, "photo.jpg");
      const patience = record.photos?.length ? PATIENCE_WITH_PHOTOS : PATIENCE;
      const answer = await ask(addresses.records, { method: "POST", body, headers: { "X-CSRFToken": token } }, patience);
      if (isSignIn(answer)) return { signedOut: true };
      if (answer.status === 413) return { sentence: "The photo is too large to be sent. Take it again, smaller." };
      if (answer.ok) return (await json(answer)).kept === record.key ? { kept: true } : {};
      if (answer.status === 422 || answer.status === 409) return json(answer);
      return AWAY.has(answer.status) ? {} : { fault: answer.status };
    },
  };
}
