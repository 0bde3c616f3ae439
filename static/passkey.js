// Passkeys: asks the device to make one, or to sign with one, and sends what it says with the form.

const bytesOf = (text) => Uint8Array.from(atob(text.replaceAll("-", "+").replaceAll("_", "/")), (letter) => letter.charCodeAt(0));
const textOf = (bytes) => btoa(String.fromCharCode(...new Uint8Array(bytes))).replaceAll("+", "-").replaceAll("/", "_").replaceAll("=", "");
const known = (list) => (list ?? []).map((each) => ({ ...each, id: bytesOf(each.id) }));

async function answered(form) {
  const options = await (await fetch(form.dataset.options, { cache: "no-store" })).json();
  options.challenge = bytesOf(options.challenge);
  if (form.dataset.passkey === "new") {
    options.user.id = bytesOf(options.user.id);
    options.excludeCredentials = known(options.excludeCredentials);
    return navigator.credentials.create({ publicKey: options });
  }
  options.allowCredentials = known(options.allowCredentials);
  return navigator.credentials.get({ publicKey: options });
}

function asJson(credential) {
  const said = {};
  for (const part of ["clientDataJSON", "attestationObject", "authenticatorData", "signature", "userHandle"]) {
    if (credential.response[part]) said[part] = textOf(credential.response[part]);
  }
  return JSON.stringify({ id: credential.id, rawId: textOf(credential.rawId), type: credential.type, response: said, clientExtensionResults: {} });
}

for (const form of document.querySelectorAll("form[data-passkey]")) {
  const trouble = form.querySelector("[data-trouble]");
  if (!window.PublicKeyCredential) {
    if (form.dataset.passkey === "new") trouble.hidden = false;
    continue;
  }
  form.hidden = false;
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    event.stopImmediatePropagation();
    trouble.hidden = true;
    try {
      form.elements.credential.value = asJson(await answered(form));
      form.submit();
    } catch {
      trouble.hidden = false;
    }
  }, true);
}
