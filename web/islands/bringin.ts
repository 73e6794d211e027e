// Many files or a whole folder at once: tables and notes are read and listed, pictures go to a contact sheet. Without
// it, one file at a time is chosen and sent by the form.
import { isPicture, sendPictures } from "./pictures/send";

const form = document.querySelector<HTMLFormElement>("[data-dropped]");
const one = form?.querySelector<HTMLInputElement>("#file");
const folder = form?.querySelector<HTMLInputElement>("#folder");
const part = form?.querySelector<HTMLElement>("[data-folder]");

/** litter is what systems put into folders for themselves. */
const litter = (f: File): boolean => f.name.startsWith(".") || /^(thumbs\.db|desktop\.ini)$/i.test(f.name);

/** inside lists the files of what was dropped, folders walked. */
async function inside(entry: FileSystemEntry): Promise<File[]> {
  if (entry.isFile) return new Promise((done) => (entry as FileSystemFileEntry).file((f) => done([f]), () => done([])));
  const reader = (entry as FileSystemDirectoryEntry).createReader(), out: File[] = [];
  for (;;) { // a reader gives a hundred or so at a time, and nothing at the end
    const some = await new Promise<FileSystemEntry[]>((done) => reader.readEntries(done, () => done([])));
    if (some.length === 0) return out;
    for (const e of some) out.push(...(await inside(e)));
  }
}

interface Found {
  as?: string;
  at?: string;
  problem?: string;
}

/** found adds a line to the list of what was read. */
function found(list: Element, name: string, got: Found): void {
  const line = document.createElement("li");
  if (got.at) {
    const link = document.createElement("a");
    link.href = got.at;
    link.textContent = name;
    line.append(link, `: read as ${got.as}. Open it to see what was understood; nothing is kept yet.`);
  } else line.textContent = got.problem?.startsWith(name) ? got.problem : `${name}: ${got.problem ?? "not read"}`;
  list.append(line);
}

async function take(form: HTMLFormElement, all: File[]): Promise<void> {
  const files = all.filter((f) => !litter(f)), pictures = files.filter(isPicture), others = files.filter((f) => !isPicture(f));
  const bar = form.querySelector("progress"), says = form.querySelector<HTMLElement>("[role=status] span"), list = form.querySelector("[data-found]"), button = form.querySelector("button");
  if (!bar || !says || !list || !button || button.disabled) return;
  if (files.length === 0) {
    says.textContent = "There is no file in it.";
    return;
  }
  button.disabled = true;
  list.replaceChildren();
  bar.hidden = false;
  bar.max = others.length || 1;
  for (const [i, f] of others.entries()) {
    bar.value = i;
    says.textContent = `${i} of ${others.length} files read`;
    const body = new FormData();
    body.append("file", f);
    try {
      const answer = await fetch("/bring-in", { method: "POST", body, headers: { Accept: "application/json" } });
      found(list, f.name, answer.ok ? ((await answer.json()) as Found) : { problem: "it could not be read." });
    } catch {
      found(list, f.name, { problem: "the server did not answer. Choose it again." });
    }
  }
  bar.value = bar.max;
  says.textContent = others.length > 0 ? `${others.length} of ${others.length} files read` : "";
  const links = list.querySelectorAll<HTMLAnchorElement>("a");
  if (pictures.length > 0) {
    const sheet = await sendPictures(pictures, bar, says);
    if (sheet && list.children.length === 0) location.href = sheet;
    else if (sheet) found(list, "Pictures", { at: sheet, as: "a contact sheet" });
  } else if (links.length === 1 && list.children.length === 1) location.href = links[0]?.href ?? "";
  button.disabled = false;
}

if (form && one && folder && part) {
  one.multiple = true;
  part.hidden = false;
  form.addEventListener("submit", (e) => {
    const files = [...(one.files ?? []), ...(folder.files ?? [])];
    if (files.length === 0 || files.length === 1 && one.files?.length === 1 && !isPicture(files[0] as File)) return;
    e.preventDefault();
    e.stopImmediatePropagation();
    void take(form, files);
  }, true);
  folder.addEventListener("change", () => form.requestSubmit());
  document.addEventListener("dragover", (e) => {
    e.preventDefault();
    form.classList.add("dropping");
  });
  document.addEventListener("dragleave", () => form.classList.remove("dropping"));
  document.addEventListener("drop", (e) => {
    e.preventDefault();
    form.classList.remove("dropping");
    const entries = [...(e.dataTransfer?.items ?? [])].map((i) => i.webkitGetAsEntry()).filter((x) => x !== null);
    if (entries.length > 0) void Promise.all(entries.map(inside)).then((all) => take(form, all.flat()));
  });
}
