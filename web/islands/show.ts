// Arrow keys and a swipe lead from scene to scene of a presentation.
const scenes = [...document.querySelectorAll<HTMLElement>("main > .scene")];

/** The scene that fills most of the window. */
function current(): number {
  const middle = window.innerHeight / 2;
  const at = scenes.findIndex((s) => s.getBoundingClientRect().bottom > middle);
  return at < 0 ? scenes.length - 1 : at;
}

function go(by: number): void {
  const to = scenes[Math.min(scenes.length - 1, Math.max(0, current() + by))];
  if (!to) return;
  to.scrollIntoView();
  to.tabIndex = -1;
  to.focus({ preventScroll: true });
}

document.addEventListener("keydown", (e) => {
  if (e.altKey || e.ctrlKey || e.metaKey || (e.target as HTMLElement).matches("input, textarea, select")) return;
  const by = e.key === "ArrowRight" || e.key === "PageDown" ? 1 : e.key === "ArrowLeft" || e.key === "PageUp" ? -1 : 0;
  if (by === 0) return;
  e.preventDefault();
  go(by);
});

// A swipe is a quick move of one finger that is far more to the side than up or down.
let start: Touch | undefined;
document.addEventListener("touchstart", (e) => { start = e.touches.length === 1 ? e.touches[0] : undefined; }, { passive: true });
document.addEventListener("touchend", (e) => {
  const end = e.changedTouches[0];
  if (!start || !end) return;
  const x = end.clientX - start.clientX, y = end.clientY - start.clientY;
  start = undefined;
  if (Math.abs(x) > 60 && Math.abs(x) > 2 * Math.abs(y)) go(x < 0 ? 1 : -1);
}, { passive: true });

export {}; // a module of its own
