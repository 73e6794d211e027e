// Many pictures at once: sent one after the other with progress, then corrected on the contact sheet by keys. Without
// it, the form sends them together and the sheet is corrected by its fields.
import { sendPictures } from "./pictures/send";

const drop = document.querySelector<HTMLFormElement>("[data-pictures]");
drop?.addEventListener("submit", (e) => {
  const files = [...(drop.querySelector<HTMLInputElement>("input[type=file]")?.files ?? [])];
  if (files.length < 2) return;
  e.preventDefault();
  e.stopImmediatePropagation();
  void send(drop, files);
}, true);

async function send(form: HTMLFormElement, files: File[]): Promise<void> {
  const bar = form.querySelector("progress"), says = form.querySelector<HTMLElement>("[role=status] span"), button = form.querySelector("button");
  if (!bar || !says || !button) return;
  button.disabled = true;
  const sheet = await sendPictures(files, bar, says);
  if (sheet) location.href = sheet;
  else button.disabled = false;
}

const viewKeys = "1234567890qwer";
const shots = (): HTMLElement[] => [...document.querySelectorAll<HTMLElement>("[data-contact-sheet] [data-shot]")];

/** move puts a picture into the group before or behind its own; behind the last one, a new group begins. */
function move(shot: HTMLElement, by: number): void {
  const groups = [...document.querySelectorAll<HTMLElement>("[data-group]")], own = shot.closest<HTMLElement>("[data-group]");
  const at = own ? groups.indexOf(own) + by : -1;
  if (!own || at < 0) return;
  let to = groups[at];
  if (!to) {
    to = own.cloneNode(true) as HTMLElement;
    const n = String(Math.max(...groups.map((g) => Number(g.dataset.group))) + 1);
    to.dataset.group = n;
    to.querySelector(".shots")?.replaceChildren();
    to.querySelector(".error")?.remove();
    const legend = to.querySelector("legend"), input = to.querySelector<HTMLInputElement>(".field input"), label = to.querySelector("label");
    if (legend) legend.textContent = `Watch ${n}`;
    if (input && label) {
      input.value = "";
      input.id = input.name = `watch.${n}`;
      label.htmlFor = input.id;
    }
    own.after(to);
  }
  to.querySelector(".shots")?.append(shot);
  const number = shot.querySelector<HTMLInputElement>("input[name^='group.']");
  if (number) number.value = to.dataset.group ?? "";
  shot.focus();
}

document.addEventListener("keydown", (e) => {
  if (e.ctrlKey || e.altKey || e.metaKey || !(e.target instanceof HTMLElement) || !e.target.matches("[data-shot]")) return;
  const shot = e.target, all = shots(), i = all.indexOf(shot);
  const view = viewKeys.indexOf(e.key);
  if (e.key === "ArrowRight" || e.key === "ArrowDown") all[i + 1]?.focus();
  else if (e.key === "ArrowLeft" || e.key === "ArrowUp") all[i - 1]?.focus();
  else if (e.key === "+") move(shot, 1);
  else if (e.key === "-") move(shot, -1);
  else if (e.key === "x") shot.querySelector<HTMLInputElement>("input[name=keep]")?.click();
  else if (e.key.length === 1 && view >= 0) {
    const choice = shot.querySelector("select");
    if (choice) choice.selectedIndex = view;
    shot.querySelector("figcaption > small.soft")?.remove();
  } else return;
  e.preventDefault();
});
document.addEventListener("change", (e) => {
  const t = e.target;
  if (t instanceof HTMLInputElement && t.name === "keep") t.closest("[data-shot]")?.classList.toggle("dropped", !t.checked);
});
