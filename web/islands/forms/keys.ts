// One key is enough where no field has the focus: it presses what has that access key.
// The switch on the page of terms turns this off for those whom it disturbs.

const name = "midcase single keys";

function on(): boolean {
  try {
    return localStorage.getItem(name) !== "off";
  } catch {
    return true;
  }
}

export function singleKeys(): void {
  document.addEventListener("keydown", (e) => {
    if (e.ctrlKey || e.altKey || e.metaKey || e.isComposing || e.defaultPrevented || !/^[a-z]$/.test(e.key) || !on()) return;
    if (e.target instanceof HTMLElement && (e.target.isContentEditable || e.target.closest("input, select, textarea, audio, video, [role=slider], [role=application]"))) return;
    const found = document.querySelector<HTMLElement>(`[accesskey="${e.key}"]`);
    if (!found) return;
    e.preventDefault();
    if (found instanceof HTMLInputElement) found.select();
    else found.click();
    found.focus();
  });
  const field = document.querySelector<HTMLElement>("[data-keys]");
  const box = field?.querySelector("input");
  if (!field || !box) return;
  field.hidden = false;
  box.checked = on();
  box.addEventListener("change", () => {
    try {
      localStorage.setItem(name, box.checked ? "on" : "off");
    } catch {
      box.checked = true; // nothing is kept here
    }
  });
}
