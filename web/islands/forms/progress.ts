// While a form with a long answer is sent, the page shows how far the work has come.

interface HowFar {
  done: number;
  of: number;
}

const every = 500; // ms

export function showProgress(root: ParentNode): void {
  for (const form of root.querySelectorAll<HTMLFormElement>("form[data-progress]")) {
    form.addEventListener("submit", () => void follow(form));
  }
}

async function follow(form: HTMLFormElement): Promise<void> {
  const note = document.createElement("p");
  note.setAttribute("role", "status");
  const bar = document.createElement("progress"), words = document.createElement("span");
  bar.setAttribute("aria-label", "Written");
  note.append(bar, " ", words);
  for (;;) {
    await new Promise((r) => setTimeout(r, every));
    if (!form.isConnected || form.getAttribute("aria-busy") !== "true") break;
    if (!note.isConnected) form.append(note);
    try {
      const now = (await (await fetch(form.dataset.progress ?? "")).json()) as HowFar;
      if (now.of > 0) {
        bar.max = now.of;
        bar.value = now.done;
        words.textContent = `${now.done.toLocaleString()} of ${now.of.toLocaleString()} written`;
      } else words.textContent = "Reading…";
    } catch {
      // the next time
    }
  }
  note.remove();
}
