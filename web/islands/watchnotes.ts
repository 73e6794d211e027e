// The review of notes by keys: k keeps a line, m mends it, x drops it, a keeps the rest, Enter
// records. Without it, boxes are ticked.

const review = (): HTMLFormElement | null => document.querySelector<HTMLFormElement>("[data-review]");
const lines = (): HTMLElement[] => [...(review()?.querySelectorAll<HTMLElement>("[data-row]") ?? [])];

function show(line: Element | null): void {
  for (const m of document.querySelectorAll("mark.here")) m.classList.remove("here");
  if (line instanceof HTMLElement) document.querySelector(`mark[data-words="${line.dataset.row}"]`)?.classList.add("here");
}

function set(line: HTMLElement | undefined, keep: boolean): void {
  const box = line?.querySelector<HTMLInputElement>("input[name=keep]");
  if (box) box.checked = keep;
  line?.classList.toggle("dropped", !keep);
}

function save(): void {
  review()?.querySelector<HTMLElement>("button[value=save]")?.focus();
}

function keepRest(from: number): void {
  for (const l of lines().slice(from)) if (!l.classList.contains("dropped")) set(l, true);
  save();
}

function onTo(i: number): void {
  const next = lines()[i + 1];
  if (!next) return save();
  next.focus();
  next.scrollIntoView({ block: "nearest" });
}

function mend(line: HTMLElement | undefined): void {
  const box = line?.querySelector<HTMLDetailsElement>("details.mend");
  if (box) box.open = true;
  (box?.querySelector<HTMLElement>(".wrong select, .wrong input") ?? box?.querySelector<HTMLElement>("select, input"))?.focus();
}

function begin(): void {
  const rest = review()?.querySelector<HTMLElement>("[data-rest]");
  if (rest) rest.hidden = false;
  if (!lines().some((l) => l.contains(document.activeElement))) lines()[0]?.focus();
}

// The answer to a form is put into the page without loading it, so the review may come later.
new MutationObserver((all) => {
  if (all.some((m) => [...m.addedNodes].some((n) => n instanceof HTMLElement && n.matches("main")))) setTimeout(begin);
}).observe(document.body, { childList: true });
begin();

document.addEventListener("click", (e) => {
  if (e.target instanceof Element && e.target.closest("[data-rest]")) keepRest(0);
});
document.addEventListener("focusin", (e) => show(e.target instanceof Element ? e.target.closest("[data-row]") : null));
document.addEventListener("keydown", (e) => {
  if (e.ctrlKey || e.altKey || e.metaKey || e.isComposing || !review()) return;
  const all = lines(), i = all.findIndex((l) => l.contains(document.activeElement)), t = e.target;
  if (t instanceof HTMLElement && t.matches("select, input:not([type=checkbox]), textarea")) {
    if (e.key !== "Enter" || i < 0) return;
    e.preventDefault();
    set(all[i], true);
    onTo(i);
    return;
  }
  if (e.key === "k" || e.key === "x") {
    set(all[Math.max(i, 0)], e.key === "k");
    onTo(Math.max(i, 0));
  } else if (e.key === "m" && i >= 0) mend(all[i]);
  else if (e.key === "a") keepRest(Math.max(i, 0));
  else return;
  e.preventDefault();
}, { capture: true });
export {};
