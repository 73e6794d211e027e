// A list follows its filters as they are typed.

export function liveFilter(): void {
  const form = document.querySelector<HTMLFormElement>("form[data-live]");
  const list = form && document.querySelector(form.dataset.live ?? "");
  if (!form || !list) return;
  let timer = 0;
  let asked = 0;

  const refresh = async (): Promise<void> => {
    const query = new URLSearchParams();
    for (const [name, value] of new FormData(form)) if (typeof value === "string" && value !== "") query.append(name, value);
    const path = new URL(form.action).pathname;
    const to = query.size > 0 ? `${path}?${query}` : path;
    const mine = ++asked;
    try {
      const answer = await fetch(to);
      const page = new DOMParser().parseFromString(await answer.text(), "text/html");
      const fresh = page.querySelector(form.dataset.live ?? "");
      const side = page.querySelector(".desk-side");
      if (mine !== asked || !fresh) return; // a later question was asked meanwhile
      list.replaceChildren(...fresh.childNodes);
      document.querySelector(".desk-side")?.replaceChildren(...(side?.childNodes ?? []));
      history.replaceState(null, "", to);
    } catch {
      form.requestSubmit(); // let the browser say that nobody answers
    }
  };
  const soon = (wait: number) => () => {
    clearTimeout(timer);
    timer = window.setTimeout(() => void refresh(), wait);
  };
  form.addEventListener("input", soon(200));
  form.addEventListener("change", soon(0));
}
