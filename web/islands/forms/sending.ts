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

interface Answer {
  to: string | null;
  page: string;
}

async function post(form: HTMLFormElement, body: URLSearchParams, once: string): Promise<Answer> {
  const answer = await fetch(form.action, {
    method: "POST", body, headers: { "Midcase-Form": once }, signal: AbortSignal.timeout(form.dataset.progress ? 10 * patience : patience),
  });
  const to = answer.headers.get("Midcase-To");
  return { to, page: to ? "" : await answer.text() };
}

const worthShowing = 1_000_000; // bytes; less is sent before anybody could read of it

/** howFar shows how much of a file has been sent, and then that the shop works on it. */
function howFar(form: HTMLFormElement): { sent(part: number, all: number): void; over(): void } {
  const note = document.createElement("p");
  note.className = "sending";
  note.setAttribute("role", "status");
  const bar = document.createElement("progress");
  bar.setAttribute("aria-label", "Sent");
  const words = document.createElement("span");
  note.append(bar, words);
  return {
    sent(part, all) {
      if (all < worthShowing) return;
      if (!note.isConnected) form.append(note);
      bar.max = all;
      if (part < all) bar.value = part;
      else bar.removeAttribute("value"); // how long reading takes is not known
      const says = part < all ? "Sending…" : "Sent. The shop is reading it…";
      if (words.textContent !== says) words.textContent = says;
    },
    over() {
      note.remove();
    },
  };
}

/** upload posts files; fetch would not tell how far it has come. */
function upload(form: HTMLFormElement, body: FormData, once: string): Promise<Answer> {
  const shown = howFar(form);
  return new Promise<Answer>((done, failed) => {
    const x = new XMLHttpRequest();
    let quiet = 0;
    const wait = (ms: number) => {
      clearTimeout(quiet);
      quiet = window.setTimeout(() => x.abort(), ms);
    };
    x.open("POST", form.action);
    x.setRequestHeader("Midcase-Form", once);
    x.upload.onprogress = (e) => {
      shown.sent(e.loaded, e.total);
      wait(patience);
    };
    x.upload.onload = () => wait(5 * patience); // reading a long sound takes a while
    x.onload = () => done({ to: x.getResponseHeader("Midcase-To"), page: x.responseText });
    x.onerror = () => failed(new Error("no answer"));
    x.onabort = () => failed(new Error("no answer in time"));
    x.onloadend = () => {
      clearTimeout(quiet);
      shown.over();
    };
    wait(patience);
    x.send(body);
  });
}

async function send(form: HTMLFormElement, by: HTMLElement | null, hooks: Hooks): Promise<void> {
  const data = new FormData(form, by);
  const files = form.enctype === "multipart/form-data";
  const text = new URLSearchParams();
  for (const [name, value] of data) text.append(name, typeof value === "string" ? value : `${value.name} ${value.size}`);
  const once = token(form, text.toString()).split(" ")[0] ?? "";
  form.querySelector(":scope > .unanswered")?.remove();
  form.setAttribute("aria-busy", "true");
  try {
    const answer = files ? await upload(form, data, once) : await post(form, text, once);
    if (answer.to) {
      hooks.sent(form);
      location.assign(answer.to);
      return;
    }
    show(answer.page, hooks);
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
