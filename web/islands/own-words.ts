// A listing in the dealer's own words: what does not hold is marked while one types. The
// list of marks comes from the server, as it does without a script; here it is asked for a
// moment after the last key, and the marks are drawn under the text.

const wait = 400; // ms after the last key

function edit(form: HTMLFormElement): void {
  const area = form.querySelector<HTMLTextAreaElement>("textarea[name=text]");
  const under = form.querySelector<HTMLElement>(".under");
  if (!area || !under) return;
  let asked: AbortController | undefined, timer = 0;

  const list = (): HTMLElement | null => document.querySelector<HTMLElement>("#marks");

  function draw(): void {
    const text = [...area!.value]; // places are counted in characters, as the server does
    const places = [...(list()?.querySelectorAll<HTMLElement>("[data-from]") ?? [])]
      .map((m) => ({ from: Number(m.dataset.from), to: Number(m.dataset.to), kind: m.dataset.kind ?? "" }))
      .sort((a, b) => a.from - b.from);
    under!.replaceChildren();
    let at = 0;
    for (const p of places) {
      if (p.from < at) continue;
      const mark = document.createElement("mark");
      mark.className = p.kind;
      mark.textContent = text.slice(p.from, p.to).join("");
      under!.append(text.slice(at, p.from).join(""), mark);
      at = p.to;
    }
    under!.append(text.slice(at).join("") + "\n");
    fit();
  }

  function fit(): void {
    area!.style.height = "auto";
    area!.style.height = `${area!.scrollHeight + 2}px`;
  }

  async function ask(): Promise<void> {
    asked?.abort();
    asked = new AbortController();
    const body = new URLSearchParams();
    for (const [name, value] of new FormData(form)) if (typeof value === "string" && name !== "Midcase-Form") body.set(name, value);
    body.set("do", "marks");
    try {
      const answer = await fetch(form.action, { method: "POST", body, signal: asked.signal });
      if (!answer.ok) return;
      const page = new DOMParser().parseFromString(await answer.text(), "text/html").querySelector("#marks");
      if (!page) return;
      list()?.replaceWith(page);
      draw();
    } catch { /* the next key asks again */ }
  }

  area.addEventListener("input", () => {
    under.replaceChildren(area.value + "\n");
    fit();
    clearTimeout(timer);
    timer = window.setTimeout(() => void ask(), wait);
  });
  addEventListener("resize", fit);

  // The server counts in a text without blanks at the ends of lines; so does this one.
  document.addEventListener("click", (e) => {
    const t = e.target instanceof Element ? e.target : null;
    const back = t?.closest<HTMLElement>("button[data-insert]");
    if (back && form.isConnected) {
      e.preventDefault();
      const text = [...plain(area.value)], at = Number(back.dataset.at);
      area.value = text.slice(0, at).join("") + back.dataset.insert + text.slice(at).join("");
      area.dispatchEvent(new Event("input", { bubbles: true }));
      return;
    }
    const mark = t?.closest<HTMLElement>("#marks [data-from]");
    if (mark && !t?.closest("a") && form.isConnected) {
      const units = (n: number): number => [...area.value].slice(0, n).join("").length;
      area.focus();
      area.setSelectionRange(units(Number(mark.dataset.from)), units(Number(mark.dataset.to)));
    }
  });
  area.value = plain(area.value);
  draw();
}

/** plain is the text as the server reads it. */
function plain(text: string): string {
  return text.replace(/\r\n?/g, "\n").split("\n").map((l) => l.split(/\s+/).filter((w) => w).join(" "))
    .join("\n").replace(/\n{3,}/g, "\n\n").trim();
}

function begin(root: ParentNode): void {
  for (const form of root.querySelectorAll<HTMLFormElement>("form[data-own-words]:not([data-begun])")) {
    form.dataset.begun = "1";
    edit(form);
  }
}

begin(document);
// The answer to a form is put into the page without loading it.
new MutationObserver(() => begin(document)).observe(document.body, { childList: true, subtree: true });

export {};
