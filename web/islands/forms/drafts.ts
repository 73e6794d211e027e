// Half-typed forms are kept on this device until they are sent, so that a closed
// window or a lost connection loses nothing.

const prefix = "midcase draft ";

function key(form: HTMLFormElement): string {
  return `${prefix}${location.pathname} ${form.dataset.keep ?? ""}`;
}

type Draft = Record<string, string>;

function typed(form: HTMLFormElement): Draft {
  const out: Draft = {};
  for (const [name, value] of new FormData(form)) {
    if (typeof value === "string" && name !== "version") out[name] = value;
  }
  return out;
}

function read(form: HTMLFormElement): Draft | undefined {
  try {
    const text = localStorage.getItem(key(form));
    return text ? (JSON.parse(text) as Draft) : undefined;
  } catch {
    return undefined; // no storage here, or nothing that can be read
  }
}

function write(form: HTMLFormElement, draft: Draft): void {
  try {
    localStorage.setItem(key(form), JSON.stringify(draft));
  } catch {
    // Storage is full or switched off; the form itself still holds what was typed.
  }
}

export function forgetDraft(form: HTMLFormElement): void {
  try {
    localStorage.removeItem(key(form));
  } catch {
    // nothing was kept
  }
}

/** put writes a draft into the fields and tells whether anything changed by it. */
function put(form: HTMLFormElement, draft: Draft): boolean {
  let changed = false;
  for (const field of form.elements) {
    const shown = field instanceof HTMLInputElement || field instanceof HTMLSelectElement || field instanceof HTMLTextAreaElement;
    if (!shown || field.type === "hidden" || field.type === "file" || field.type === "submit") continue;
    const value = draft[field.name];
    if (field instanceof HTMLInputElement && (field.type === "radio" || field.type === "checkbox")) {
      const checked = value === field.value;
      changed ||= checked !== field.checked;
      field.checked = checked;
    } else if (value !== undefined && value !== field.value) {
      changed = true;
      field.value = value;
    }
  }
  return changed;
}

function say(form: HTMLFormElement, fresh: Draft): void {
  const note = document.createElement("div");
  note.className = "notice";
  note.setAttribute("role", "status");
  const words = document.createElement("p");
  words.textContent = "What you typed here last time and did not send is back.";
  const drop = document.createElement("button");
  drop.type = "button";
  drop.className = "plain";
  drop.textContent = "Start afresh";
  drop.addEventListener("click", () => {
    put(form, fresh);
    forgetDraft(form);
    note.remove();
  });
  note.append(words, drop);
  form.prepend(note);
}

export function keepDrafts(root: ParentNode): void {
  for (const form of root.querySelectorAll<HTMLFormElement>("form[data-keep]")) {
    const fresh = typed(form);
    const wrong = document.querySelector(".notice.wrong") !== null; // the page has what was typed already
    const draft = wrong ? undefined : read(form);
    if (draft && put(form, draft)) say(form, fresh);
    let timer = 0;
    form.addEventListener("input", () => {
      clearTimeout(timer);
      timer = window.setTimeout(() => write(form, typed(form)), 250);
    });
    form.addEventListener("submit", () => {
      clearTimeout(timer);
      write(form, typed(form));
    });
  }
}
