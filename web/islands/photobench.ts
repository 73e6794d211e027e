// The bench on which pictures are measured: shows a picture so that it can be zoomed
// and moved, and puts the points that are picked into the fields of the form. What the
// points come to is worked out by the server.
import { Viewer } from "./photobench/viewer";
import { lay } from "./photobench/laid";
import { picks, type PickField } from "./photobench/fields";

/** start wires what is on the page; it is called again when the page's main part is replaced. */
function start(): void {
  const viewers = new Map<string, Viewer>();
  for (const at of document.querySelectorAll<HTMLElement>(".viewer:not([data-wired])")) {
    at.dataset.wired = "1";
    viewers.set(at.id, new Viewer(at));
  }
  for (const at of document.querySelectorAll<HTMLElement>("[data-laid]:not([data-wired])")) {
    at.dataset.wired = "1";
    lay(at);
  }
  if (viewers.size === 0) return;
  const single = viewers.size === 1;
  if (!single) for (const v of viewers.values()) v.makeSmall();

  let fields: PickField[] = [];
  let active: PickField | undefined;
  const of = (f: PickField): Viewer | undefined => viewers.get(f.viewer) ?? viewers.values().next().value;

  const show = (): void => {
    for (const [id, v] of viewers) {
      v.show(fields.filter((f) => of(f) === viewers.get(id)), active);
      v.say(active && of(active) === v ? active.wants() : single ? "Choose a field with points, then point in the picture." : "");
    }
    for (const f of fields) f.mark(f === active);
  };
  const choose = (f: PickField | undefined): void => {
    active = f;
    show();
  };
  /** next is the first field after this one that still wants points. */
  const next = (f: PickField): PickField | undefined => fields.slice(fields.indexOf(f) + 1).find((g) => g.points().length === 0 && g.fixed);
  const found = (): void => {
    const marks = [...document.querySelectorAll<HTMLElement>("#found [data-mark]")].map((m) => ({ shape: m.dataset.mark ?? "", label: m.textContent ?? "" }));
    viewers.values().next().value?.found(marks);
  };
  const wire = (): void => {
    fields = picks(document);
    for (const f of fields) {
      f.input.addEventListener("focus", () => choose(f));
      f.input.addEventListener("input", show);
    }
    active = fields.find((f) => f.input.getAttribute("aria-invalid") === "true") ?? fields.find((f) => f.points().length === 0);
    found();
    show();
  };

  for (const v of viewers.values()) {
    v.picked = (p) => {
      if (!active || of(active) !== v) active = fields.find((f) => of(f) === v && f.points().length === 0) ?? fields.find((f) => of(f) === v);
      if (!active) return;
      active.add(p);
      if (active.full) active = next(active) ?? active;
      show();
    };
    v.moved = (f, i, p) => {
      f.set(i, p);
      show();
    };
    v.onward = () => {
      const own = fields.filter((f) => of(f) === v);
      const from = active ? own.indexOf(active) + 1 : 0;
      const to = [...own.slice(from), ...own.slice(0, from)].find((f) => f.points().length === 0) ?? own[from % Math.max(own.length, 1)];
      if (to) choose(to);
    };
    v.undone = () => {
      active?.removeLast();
      show();
    };
  }
  wire();

  // The answer comes into the page without losing where the picture was.
  document.querySelector("main")?.addEventListener("submit", (e) => {
    const form = e.target;
    if (!(form instanceof HTMLFormElement) || !form.hasAttribute("data-answer")) return;
    e.preventDefault();
    void ask(form).then(wire);
  });
}

/** ask gets the page with the answer and puts its form and answer in place of these. */
async function ask(form: HTMLFormElement): Promise<void> {
  const query = new URLSearchParams();
  for (const [name, value] of new FormData(form)) if (typeof value === "string" && value !== "") query.append(name, value);
  const url = `${form.action.split("?")[0] ?? ""}?${query.toString()}`;
  form.setAttribute("aria-busy", "true");
  try {
    const answer = await fetch(url);
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    const fresh = page.querySelector("#picform");
    const old = document.querySelector("#picform");
    if (!fresh || !old) {
      location.assign(url);
      return;
    }
    old.replaceWith(fresh);
    replaceNotice(page);
    history.replaceState(null, "", url);
    const wrong = fresh.querySelector<HTMLElement>("[aria-invalid]");
    if (wrong) wrong.focus();
    else fresh.querySelector("section")?.scrollIntoView({ block: "nearest" });
  } catch {
    form.removeAttribute("aria-busy");
    const says = form.querySelector(".unanswered") ?? document.createElement("p");
    says.className = "notice wrong unanswered";
    says.setAttribute("role", "alert");
    says.textContent = "The shop does not answer. Your points stand here still; ask again when it is back.";
    form.prepend(says);
  }
}

/** replaceNotice takes the notices between the heading and the picture from the new page. */
function replaceNotice(page: Document): void {
  for (const n of document.querySelectorAll("main > .notice")) n.remove();
  const bench = document.querySelector("main > .picbench");
  for (const n of page.querySelectorAll("main > .notice")) bench?.before(n);
  const ways = page.querySelector("main > nav"); // the other ways take along what is of the picture
  if (ways) document.querySelector("main > nav")?.replaceWith(ways);
}

start();
// A form that came back with something wrong replaces the main part of the page.
new MutationObserver(() => {
  if (document.querySelector(".viewer:not([data-wired])")) start();
}).observe(document.body, { childList: true });
