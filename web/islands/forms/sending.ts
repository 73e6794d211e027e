// Forms are sent in the background, so that no answer, or a bad one, leaves the form
// as it stands. A form that is sent again after no answer carries the same token, by
// which the server knows it.

interface Hooks {
  changed(root: ParentNode): void;
  sent(form: HTMLFormElement): void;
}

const patience = 60_000; // ms

const tokens = new WeakMap<HTMLFormElement, string>();

function token(form: HTMLFormElement, body: string): string {
  const known = tokens.get(form);
  if (known?.endsWith(body)) return known;
  const fresh = `${crypto.getRandomValues(new Uint32Array(4)).join("-")} ${body}`;
  tokens.set(form, fresh);
  return fresh;
}

/** complain tells what happened to the input, above the form, and to listeners. */
function complain(form: HTMLFormElement, text: string): void {
  form.querySelector(":scope > .unanswered")?.remove();
  const note = document.createElement("div");
  note.className = "notice wrong unanswered";
  note.setAttribute("role", "alert");
  const words = document.createElement("p");
  words.textContent = text;
  note.append(words);
  form.prepend(note);
  note.scrollIntoView({ block: "center" });
}

function show(html: string, hooks: Hooks): void {
  const page = new DOMParser().parseFromString(html, "text/html");
  const fresh = page.querySelector("main");
  const old = document.querySelector("main");
  if (!fresh || !old) return;
  old.replaceWith(fresh);
  document.title = page.title;
  hooks.changed(fresh);
  const field = fresh.querySelector<HTMLElement>("[aria-invalid]:not(fieldset), fieldset[aria-invalid] input");
  const at = field ?? fresh.querySelector<HTMLElement>("[role=alert]") ?? fresh.querySelector<HTMLElement>("[role=status]") ?? fresh;
  if (!at.matches("input, select, textarea")) at.tabIndex = -1;
  at.focus();
}

async function send(form: HTMLFormElement, by: HTMLElement | null, hooks: Hooks): Promise<void> {
  const data = new FormData(form, by);
  const pictures = form.enctype === "multipart/form-data";
  const text = new URLSearchParams();
  for (const [name, value] of data) text.append(name, typeof value === "string" ? value : `${value.name} ${value.size}`);
  const once = token(form, text.toString()).split(" ")[0] ?? "";
  form.querySelector(":scope > .unanswered")?.remove();
  form.setAttribute("aria-busy", "true");
  try {
    const answer = await fetch(form.action, {
      method: "POST", body: pictures ? data : text, headers: { "Midcase-Form": once }, signal: AbortSignal.timeout(patience),
    });
    const to = answer.headers.get("Midcase-To");
    if (to) {
      hooks.sent(form);
      location.assign(to);
      return;
    }
    show(await answer.text(), hooks);
  } catch {
    complain(form, "The shop does not answer. Nothing you typed is lost: it stands here and is kept on this device. Send it again when the shop is back; it will not be added twice.");
  } finally {
    form.removeAttribute("aria-busy");
  }
}

export function sendForms(hooks: Hooks): void {
  document.addEventListener("submit", (e) => {
    const form = e.target;
    if (!(form instanceof HTMLFormElement) || form.method !== "post" || e.defaultPrevented) return;
    e.preventDefault();
    if (form.getAttribute("aria-busy") === "true") return;
    void send(form, e.submitter, hooks);
  });
}
