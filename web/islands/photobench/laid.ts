// Two dials on each other: blink from one to the other, slide the one over the other,
// or look where they differ. Who wishes less motion presses for each change.

type Way = "blink" | "slide" | "difference";

const blinkMS = 700;

export function lay(at: HTMLElement): void {
  const images = new Map<string, HTMLImageElement>();
  for (const f of at.querySelectorAll<HTMLElement>("figure[data-view]")) {
    const image = f.querySelector("img");
    if (image && f.dataset.view) images.set(f.dataset.view, image);
  }
  const [subject, reference, difference] = [images.get("subject"), images.get("reference"), images.get("difference")];
  if (!subject || !reference || !difference) return;
  const calm = matchMedia("(prefers-reduced-motion: reduce)");

  const glass = document.createElement("div");
  glass.className = "glass";
  glass.append(reference, subject, difference);
  const bar = document.createElement("div");
  bar.className = "tools noprint";
  const says = document.createElement("span");
  says.className = "says";
  says.setAttribute("role", "status");
  const slide = document.createElement("input");
  slide.type = "range";
  slide.min = "0";
  slide.max = "100";
  slide.value = "50";
  slide.setAttribute("aria-label", "How much of this dial covers the other");
  const swap = document.createElement("button");
  swap.type = "button";
  swap.className = "plain";

  let way: Way = "slide";
  let own = true;
  let timer = 0;
  const show = (): void => {
    slide.hidden = way !== "slide";
    swap.hidden = way !== "blink";
    swap.textContent = timer ? "Stop" : calm.matches ? "The other one" : "Blink on";
    subject.hidden = way === "blink" && !own;
    difference.hidden = way !== "difference";
    subject.style.clipPath = way === "slide" ? `inset(0 ${100 - Number(slide.value)}% 0 0)` : "none";
    const text = way === "difference" ? "Dark: where they differ" : way === "slide" ? "This dial on the left, the other on the right" : timer ? "Both in turn" : own ? "This dial" : "The other dial";
    if (says.textContent !== text) says.textContent = text;
    for (const b of buttons) b.setAttribute("aria-pressed", String(b.dataset.way === way));
  };
  const stop = (): void => {
    clearInterval(timer);
    timer = 0;
  };
  const turn = (): void => {
    own = !own;
    show();
  };
  const blink = (): void => {
    stop();
    if (!calm.matches) timer = window.setInterval(turn, blinkMS);
  };
  const buttons = (["slide", "blink", "difference"] as const).map((w) => {
    const b = document.createElement("button");
    b.type = "button";
    b.className = "plain";
    b.dataset.way = w;
    b.textContent = { slide: "Slide", blink: "Blink", difference: "Difference" }[w];
    b.addEventListener("click", () => {
      stop();
      [way, own] = [w, true];
      if (w === "blink") blink();
      show();
    });
    return b;
  });
  swap.addEventListener("click", () => {
    if (calm.matches) turn();
    else if (timer) stop();
    else blink();
    show();
  });
  slide.addEventListener("input", show);
  bar.append(...buttons, slide, swap, says);
  at.classList.add("together");
  at.replaceChildren(bar, glass);
  show();
}
