// The inspection sheet by keys: a letter opens a part, one more key records an entry. Each
// entry goes to the server in the background with a token of its own, so that one sent again
// after no answer is recorded once.

interface Kept { id: string; slot: string; says: string }
interface Doubt { says: string; meant?: string }
interface Answer { kept?: Kept[]; odd?: Doubt[]; error?: string }

const patience = 30_000; // ms
const tries = 3;

const found = document.querySelector<HTMLElement>("[data-sheet]");
if (found) start(found);

function start(sheet: HTMLElement): void {
  const to = sheet.dataset.sheet ?? "", undoTo = sheet.dataset.undo ?? "";
  const slots = [...sheet.querySelectorAll<HTMLDetailsElement>("details.slot")];
  const status = sheet.querySelector<HTMLElement>(".counted");
  const recorded: { id: string; line: HTMLElement }[] = [];
  let chip: HTMLElement | null = null; // the flaw whose severity is asked for
  let flaws = false; // f was pressed; a digit chooses the flaw

  const say = (text: string): void => {
    if (status) status.textContent = text;
  };

  async function post(address: string, body: URLSearchParams): Promise<Response> {
    const token = crypto.getRandomValues(new Uint32Array(4)).join("-");
    for (let i = 1; ; i++) {
      try {
        return await fetch(address, { method: "POST", body, headers: { "Midcase-Form": token, Accept: "application/json" }, signal: AbortSignal.timeout(patience) });
      } catch (e) {
        if (i === tries) throw e;
      }
    }
  }

  async function keep(body: URLSearchParams, beside: HTMLElement, done?: () => void): Promise<void> {
    let answer: Answer;
    try {
      const got = await post(to, body);
      answer = got.headers.get("Content-Type")?.startsWith("application/json") ? ((await got.json()) as Answer) : { error: `The server answered ${got.status}. Load the page to see what was recorded.` };
    } catch {
      say("No answer: not known whether this was recorded. Load the page to see.");
      return;
    }
    beside.querySelector(":scope > .asked")?.remove();
    if (answer.odd?.length || answer.error) {
      ask(body, beside, answer, done);
      return;
    }
    for (const k of answer.kept ?? []) {
      note(k, beside);
      say(`Recorded: ${k.says}.`);
    }
    done?.();
  }

  /** ask shows what is odd about an entry; k keeps it all the same, u takes what was meant. */
  function ask(body: URLSearchParams, beside: HTMLElement, answer: Answer, done?: () => void): void {
    const box = document.createElement("div");
    box.className = "notice wrong asked";
    box.setAttribute("role", "alert");
    const words = document.createElement("p");
    words.textContent = answer.error ?? answer.odd?.map((d) => d.says).join(" ") ?? "";
    box.append(words);
    const meant = answer.odd?.[0]?.meant, field = document.activeElement;
    if (meant && field instanceof HTMLInputElement && field.dataset.cell !== undefined) {
      box.append(button(`u  Use ${meant}`, "u", () => {
        field.value = field.value.replace(/\S+/, meant);
        field.focus();
        void cell(field);
      }));
    }
    if (answer.odd?.length) {
      box.append(button("k  Keep it all the same", "k", () => {
        body.set("held", "1");
        body.set("why", "checked again");
        void keep(body, beside, done);
      }));
    }
    beside.append(box);
    box.querySelector("button")?.focus();
    box.scrollIntoView({ block: "nearest" });
  }

  function button(text: string, key: string, press: () => void): HTMLButtonElement {
    const b = document.createElement("button");
    b.type = "button";
    b.className = "plain";
    b.textContent = text;
    b.dataset.k = key;
    b.addEventListener("click", press);
    return b;
  }

  function note(k: Kept, beside: HTMLElement): void {
    const row = beside.closest<HTMLElement>("details.slot") ?? sheet.querySelector<HTMLElement>(`details[data-slot="${k.slot}"]`);
    row?.querySelector(".same")?.remove();
    row?.querySelector(".same-row")?.remove();
    const done = row?.querySelector<HTMLElement>(".done");
    const line = document.createElement("li");
    line.textContent = k.says + " ";
    line.append(button("Undo", "", () => void undo(k.id)));
    (row?.querySelector("ol.kept") ?? beside).append(line);
    recorded.push({ id: k.id, line });
    if (done) done.textContent = [done.textContent?.trim(), k.says].filter(Boolean).join("; ");
  }

  async function undo(id?: string): Promise<void> {
    const last = id ? recorded.findIndex((x) => x.id === id) : recorded.length - 1;
    const it = recorded[last];
    if (!it) return;
    try {
      const got = await post(undoTo, new URLSearchParams({ of: it.id, reason: "entered by mistake" }));
      if (!got.ok) throw new Error();
    } catch {
      say("This could not be taken back. Load the page to see what is recorded.");
      return;
    }
    recorded.splice(last, 1);
    const row = it.line.closest("details.slot"), done = row?.querySelector(".done");
    const says = it.line.firstChild?.textContent?.trim() ?? "";
    if (done) done.textContent = (done.textContent ?? "").split("; ").filter((s) => s.trim() !== says).join("; ");
    it.line.remove();
    say(`Taken back: ${says}. It stays on the record as withdrawn.`);
  }

  function press(b: HTMLButtonElement): void {
    const form = b.closest("form");
    if (!form || b.name !== "keep") return;
    const row = b.closest<HTMLElement>("details.slot") ?? sheet;
    const where = form.querySelector<HTMLInputElement>("input[name=where]"), sure = form.querySelector<HTMLInputElement>("input[name=sure]");
    const body = new URLSearchParams({ keep: b.value, where: where?.value ?? "", sure: sure?.value ?? "" });
    void keep(body, row, () => {
      if (where) where.value = "";
      if (sure) sure.value = "";
    });
    choose(null);
  }

  async function cell(input: HTMLInputElement): Promise<void> {
    if (!input.value.trim()) return;
    const beside = input.closest<HTMLElement>(".cell") ?? sheet, typed = input.value;
    await keep(new URLSearchParams({ [input.name]: typed, grid: "1" }), beside, () => {
      const out = beside.querySelector("output");
      if (out) out.textContent = typed;
      input.value = "";
    });
  }

  function choose(c: HTMLElement | null): void {
    chip?.classList.remove("chosen");
    chip = c;
    chip?.classList.add("chosen");
    flaws = false;
  }

  function open(row: HTMLDetailsElement | undefined): void {
    choose(null);
    if (!row) {
      (sheet.querySelector<HTMLInputElement>("[data-cell]"))?.focus();
      return;
    }
    row.open = true;
    const head = row.querySelector<HTMLElement>("summary");
    head?.focus({ preventScroll: true });
    head?.scrollIntoView({ block: "start" });
  }

  sheet.addEventListener("submit", (e) => {
    const b = (e as SubmitEvent).submitter;
    e.preventDefault();
    if (b instanceof HTMLButtonElement && b.name === "keep") press(b);
    else if (b instanceof HTMLButtonElement && b.name === "grid") {
      for (const input of sheet.querySelectorAll<HTMLInputElement>("[data-cell]")) void cell(input);
    }
  });

  sheet.addEventListener("click", (e) => {
    const hour = e.target instanceof Element ? e.target.closest<SVGElement>("[data-hour]") : null;
    const where = hour?.closest("form")?.querySelector<HTMLInputElement>("input[name=where]");
    if (hour && where) where.value = where.value.trim() ? `${where.value.trim()} and ${hour.dataset.hour}` : `at ${hour.dataset.hour}`;
  });

  document.addEventListener("keydown", (e) => {
    if (e.ctrlKey || e.altKey || e.metaKey || e.isComposing || e.defaultPrevented) return;
    const t = e.target;
    if (t instanceof HTMLInputElement) {
      if (e.key !== "Enter") return;
      e.preventDefault();
      if (t.dataset.cell !== undefined) {
        const all = [...sheet.querySelectorAll<HTMLInputElement>("[data-cell]")];
        const next = all[all.indexOf(t) + 1];
        void cell(t).then(() => {
          if (!t.value) (next ?? t).focus();
        });
      } else t.closest("details")?.querySelector<HTMLElement>("summary")?.focus();
      return;
    }
    if (t instanceof HTMLElement && t.closest("textarea, select")) return;
    const asked = sheet.querySelector<HTMLButtonElement>(`.asked button[data-k="${CSS.escape(e.key)}"]`);
    const row = slots.find((s) => s.open);
    const used = asked ? (asked.click(), true) : key(e.key, row, t);
    if (used) e.preventDefault();
  }, { capture: true }); // before the keys of every page

  /** key does what a key stands for and reports whether it stands for anything. */
  function key(k: string, row: HTMLDetailsElement | undefined, target: EventTarget | null): boolean {
    if (chip && /^[0-4]$/.test(k)) {
      const b = chip.querySelector<HTMLButtonElement>(`[data-severity="${k}"]`);
      if (b) press(b);
      return true;
    }
    if (flaws && /^[1-9]$/.test(k)) {
      choose(row?.querySelector<HTMLElement>(`[data-chip="${k}"]`) ?? null);
      return true;
    }
    if (k === "Enter") {
      if (target instanceof HTMLButtonElement || target instanceof HTMLAnchorElement) return false;
      const same = row?.querySelector<HTMLButtonElement>(".same-row button");
      if (same) press(same);
      else open(row ? slots[slots.indexOf(row) + 1] : slots[0]);
      return true;
    }
    if (k === "f" && row) {
      choose(null);
      flaws = true;
      say("Which flaw? A digit chooses it.");
      return true;
    }
    if (k === "t" && row) {
      row.querySelector<HTMLInputElement>("input[name=where]")?.focus();
      return true;
    }
    if (k === "z") return void undo(), true;
    if (k === "g") return open(undefined), true;
    const b = row?.querySelector<HTMLButtonElement>(`form button[data-k="${CSS.escape(k)}"]`);
    if (b) return press(b), true;
    const next = slots.find((s) => s.dataset.key === k);
    if (next) open(next);
    return next !== undefined;
  }
}
export {};
