// The times of versions on a line: what is typed is read by the server and drawn as a bar beside the words; the ends of
// a bar are dragged, or moved by the arrow keys, and the words follow. Without it, "Check" draws the bars.

export {};

interface Window { first: number; last: number; soft_months: number; share: number }
interface Answer { whole: [number, number]; windows: Window[]; wrong?: string }

const names = ["January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November", "December"];
const word = (month: number): string => `${names[month % 12]} ${Math.floor(month / 12)}`;

// What is said beside the time, and stays when the time is moved.
const apart = /(very )?rare(ly seen)?( at first| in the beginning| towards the end| at the end)?|scarce|a few|uncommon|gradually|slowly|one in \w+|a quarter|a third|half/i;

const form = (): HTMLFormElement | null => document.querySelector<HTMLFormElement>("[data-write-book]");
const field = (name: string): HTMLInputElement | null => form()?.querySelector<HTMLInputElement>(`[name="${name}"]`) ?? null;
const cells = (): HTMLElement[] => [...(form()?.querySelectorAll<HTMLElement>("[data-bar]") ?? [])];

const asked = new WeakMap<HTMLElement, number>();

async function read(cell: HTMLElement): Promise<void> {
  const words = field(cell.dataset.bar ?? ""), made = field("made");
  const row = cell.closest("tr"), named = row?.querySelector<HTMLInputElement>("input[name$='.name']");
  const repair = row?.querySelector<HTMLInputElement>("input[name$='.service']")?.checked;
  if (!words || !made || !named?.value.trim() || repair) return cell.replaceChildren();
  const turn = (asked.get(cell) ?? 0) + 1;
  asked.set(cell, turn);
  const query = new URLSearchParams({ words: words.value, made: made.value });
  let answer: Answer;
  try {
    const got = await fetch(`/book-write/time?${query}`, { headers: { Accept: "application/json" } });
    if (!got.ok) return;
    answer = await got.json();
  } catch {
    return; // the server is away; the words stay as they are
  }
  if (asked.get(cell) === turn) draw(cell, words, answer);
}

function draw(cell: HTMLElement, words: HTMLInputElement, a: Answer): void {
  words.setCustomValidity(a.wrong ?? "");
  words.classList.toggle("not-read", !!a.wrong);
  const line = document.createElement("div");
  line.className = "timeline";
  if (a.wrong || a.whole[1] <= a.whole[0]) {
    line.classList.add("empty");
    line.textContent = a.wrong ?? "";
    return cell.replaceChildren(line);
  }
  const [first, last] = a.whole, share = (m: number): number => (100 * (m - first)) / (last + 1 - first);
  for (const w of a.windows) {
    const bar = document.createElement("span");
    bar.className = "run";
    bar.style.left = `${share(w.first)}%`;
    bar.style.width = `${Math.max(0.8, share(w.last + 1) - share(w.first))}%`;
    if (w.share > 0) bar.style.height = `${3 + 7 * w.share}px`;
    line.append(bar);
    line.append(end(cell, words, a, w, "first"), end(cell, words, a, w, "last"));
  }
  cell.replaceChildren(line);
}

// end is one end of a bar, to be dragged or moved by keys.
function end(cell: HTMLElement, words: HTMLInputElement, a: Answer, w: Window, which: "first" | "last"): HTMLElement {
  const [first, last] = a.whole, handle = document.createElement("span");
  const low = which === "first" ? first : w.first, high = which === "first" ? w.last : last;
  handle.className = "run-end";
  handle.tabIndex = 0;
  handle.setAttribute("role", "slider");
  handle.setAttribute("aria-label", which === "first" ? "Begin" : "End");
  const place = (): void => {
    const at = which === "first" ? w.first : w.last + 1;
    handle.style.left = `${(100 * (at - first)) / (last + 1 - first)}%`;
    handle.setAttribute("aria-valuemin", String(low));
    handle.setAttribute("aria-valuemax", String(high));
    handle.setAttribute("aria-valuenow", String(w[which]));
    handle.setAttribute("aria-valuetext", word(w[which]));
    handle.title = word(w[which]);
  };
  const move = (month: number): void => {
    w[which] = Math.min(high, Math.max(low, month));
    place();
  };
  const write = (): void => {
    const pieces = words.value.split(/;|and again/);
    words.value = a.windows.map((x, i) => `${word(x.first)} to ${word(x.last)}${pieces[i]?.match(apart)?.[0].replace(/^/, ", ") ?? ""}`).join("; ");
    draw(cell, words, a);
    cell.querySelectorAll<HTMLElement>(".run-end")[2 * a.windows.indexOf(w) + (which === "first" ? 0 : 1)]?.focus();
  };
  handle.addEventListener("keydown", (e) => {
    const by = { ArrowLeft: -1, ArrowRight: 1, ArrowDown: -1, ArrowUp: 1, PageDown: -12, PageUp: 12 }[e.key];
    if (by === undefined || e.ctrlKey || e.altKey || e.metaKey) return;
    e.preventDefault();
    move(w[which] + by);
    write();
  });
  handle.addEventListener("pointerdown", (e) => {
    e.preventDefault();
    handle.setPointerCapture(e.pointerId);
    const box = (handle.parentElement as HTMLElement).getBoundingClientRect();
    const drag = (p: PointerEvent): void => {
      const month = Math.round(first + ((p.clientX - box.left) / box.width) * (last + 1 - first));
      move(which === "first" ? month : month - 1);
    };
    handle.addEventListener("pointermove", drag);
    handle.addEventListener("pointerup", () => { handle.removeEventListener("pointermove", drag); write(); }, { once: true });
  });
  place();
  return handle;
}

let waiting = 0;
const stale = new Set<HTMLElement>();
document.addEventListener("input", (e) => {
  const t = e.target;
  if (!(t instanceof HTMLInputElement) || !form()?.contains(t)) return;
  for (const c of cells()) if (t.name === "made" || c.closest("tr") === t.closest("tr")) stale.add(c);
  clearTimeout(waiting);
  waiting = window.setTimeout(() => {
    stale.forEach((c) => void read(c));
    stale.clear();
  }, 200);
});
for (const c of cells()) void read(c);
// The answer to a form is put into the page without loading it.
new MutationObserver((all) => {
  if (all.some((m) => [...m.addedNodes].some((n) => n instanceof HTMLElement && n.matches("main")))) cells().forEach(read);
}).observe(document.body, { childList: true });
