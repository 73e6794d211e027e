// A page that is open follows what others do. The list of the stock is renewed where nobody is at it just now; other
// pages say that they show what was.

const quiet = 5000; // ms without pointer or key, after which nothing moves away under anybody's hand

export function followChanges(renewed: (root: ParentNode) => void): void {
  const main = document.querySelector<HTMLElement>("main[data-now]");
  if (!main || typeof EventSource === "undefined") return;
  let source: EventSource | undefined;
  let touched = 0;
  for (const kind of ["pointermove", "pointerdown", "keydown", "scroll"]) {
    document.addEventListener(kind, () => (touched = Date.now()), { passive: true, capture: true });
  }

  const open = (): void => {
    if (source || document.hidden) return;
    const query = new URLSearchParams({ of: main.dataset.now ?? "", since: main.dataset.mark ?? "" });
    source = new EventSource(`/changes?${query}`);
    source.addEventListener("changed", (e) => {
      close();
      const says = (JSON.parse((e as MessageEvent<string>).data) as { says: string }).says;
      void changed(says);
    });
  };
  const close = (): void => {
    source?.close();
    source = undefined;
  };
  const changed = async (says: string): Promise<void> => {
    if (main.dataset.now === "stock" && (await renew())) open();
    else tell(main, says);
  };
  /** renew puts the page as it is now in the place of what is shown, once nobody is at it. */
  const renew = async (): Promise<boolean> => {
    for (let wait = 0; (wait = touched + quiet - Date.now()) > 0; ) await new Promise((done) => setTimeout(done, wait));
    if (inUse(main)) return false;
    try {
      const answer = await fetch(location.href);
      const fresh = new DOMParser().parseFromString(await answer.text(), "text/html").querySelector<HTMLElement>("main[data-now]");
      if (!answer.ok || !fresh || inUse(main)) return false;
      main.replaceChildren(...fresh.childNodes);
      main.dataset.mark = fresh.dataset.mark;
      renewed(main);
      return true;
    } catch {
      return false;
    }
  };
  // A browser has few connections to one address: only the pages that are looked at hold one.
  document.addEventListener("visibilitychange", () => (document.hidden ? close() : open()));
  window.addEventListener("pagehide", close);
  open();
}

/** inUse tells whether somebody has ticked, typed or selected something on the page. */
function inUse(main: HTMLElement): boolean {
  const at = document.activeElement;
  return main.querySelector("td input:checked, dialog[open]") !== null ||
    (at !== null && at !== main && main.contains(at)) || window.getSelection()?.isCollapsed === false;
}

function tell(main: HTMLElement, says: string): void {
  const notice = document.createElement("div");
  notice.className = "notice noprint";
  notice.setAttribute("role", "status");
  const line = document.createElement("p");
  const again = document.createElement("a");
  again.href = location.href;
  again.textContent = "Show it as it is now";
  again.addEventListener("click", (e) => {
    e.preventDefault();
    location.reload();
  });
  line.append(`${says} `, again);
  notice.append(line);
  main.prepend(notice);
}
