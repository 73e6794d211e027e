// Passkeys: hands the challenge of the shop to the browser, and its answer back. Nothing is kept here.

type Says = { error?: string; to?: string };

async function post(path: string, body: unknown): Promise<Says & Record<string, unknown>> {
  const sent = await fetch(path, { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(body) });
  const said = (await sent.json()) as Says & Record<string, unknown>;
  if (!sent.ok) throw new Error(said.error ?? "It did not work. Try again.");
  return said;
}

async function add(form: HTMLFormElement): Promise<string> {
  const options = PublicKeyCredential.parseCreationOptionsFromJSON((await post("/account/passkeys/ask", { password: new FormData(form).get("password") })) as never);
  const made = (await navigator.credentials.create({ publicKey: options })) as PublicKeyCredential;
  const said = await post("/account/passkeys", { name: new FormData(form).get("name"), answer: made.toJSON() });
  return said.to ?? "/account";
}

async function enter(form: HTMLFormElement): Promise<string> {
  const options = PublicKeyCredential.parseRequestOptionsFromJSON((await post("/sign-in/passkey/ask", {})) as never);
  const found = (await navigator.credentials.get({ publicKey: options })) as PublicKeyCredential;
  const said = await post("/sign-in/passkey", { back: new FormData(form).get("back"), answer: found.toJSON() });
  return said.to ?? "/";
}

// says puts an error as a sentence; one that the browser made itself means that the person or the device said no.
function says(err: unknown): string {
  if (err instanceof DOMException) {
    return err.name === "InvalidStateError" ? "This device has a passkey for you already." : "The device gave no passkey. Try again, or use your password.";
  }
  return err instanceof Error ? err.message : String(err);
}

// Forms are found when they are sent, since the page may be exchanged; ahead of those who send forms in the background.
document.addEventListener("submit", async (e) => {
  const form = e.target;
  if (!(form instanceof HTMLFormElement) || !form.dataset.passkey) return;
  e.preventDefault();
  e.stopImmediatePropagation();
  const told = form.parentElement?.querySelector("[data-passkey-says]");
  const button = form.querySelector("button");
  if (told) told.textContent = "";
  if (button) button.disabled = true;
  try {
    if (!("PublicKeyCredential" in window) || !("parseCreationOptionsFromJSON" in PublicKeyCredential)) {
      throw new Error("This browser knows no passkeys: use your password, or a newer browser.");
    }
    location.assign(form.dataset.passkey === "add" ? await add(form) : await enter(form));
  } catch (err) {
    if (told) told.textContent = says(err);
  } finally {
    if (button) button.disabled = false;
  }
}, { capture: true });
