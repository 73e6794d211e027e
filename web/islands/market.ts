// Reads the curves of the market page by pointer, finger and keyboard: a guide line, the
// figure and its range on the drawing, and the same in words under it. The figures are
// those of the table; without this script the drawing and the table stand alone.

type Row = { value: number; low: number; high: number; says: string };

const svg = "http://www.w3.org/2000/svg";

function read(table: HTMLTableElement): Row[] {
  return [...table.tBodies].flatMap((b) => [...b.rows]).map((r) => ({
    value: Number(r.dataset.value), low: Number(r.dataset.low), high: Number(r.dataset.high), says: r.dataset.says ?? "",
  }));
}

function element(name: string, kind: string, on: Element): Element {
  const e = document.createElementNS(svg, name);
  e.setAttribute("class", kind);
  on.append(e);
  return e;
}

/** Drawing is one SVG of a curve, which says itself where it lies. */
class Drawing {
  private readonly marks: Element;
  private readonly left: number;
  private readonly right: number;

  constructor(private readonly chart: SVGSVGElement, private readonly rows: Row[]) {
    this.left = Number(chart.dataset.left);
    this.right = Number(chart.dataset.right);
    this.marks = element("g", "marks", chart);
  }

  /** quarter is the place in the rows of the quarter nearest to a place on the screen. */
  quarter(clientX: number): number {
    const box = this.chart.getBoundingClientRect();
    const x = ((clientX - box.left) / box.width) * this.chart.viewBox.baseVal.width;
    const i = Math.round(((x - this.left) / (this.right - this.left)) * (this.rows.length - 1));
    return Math.max(0, Math.min(this.rows.length - 1, i));
  }

  show(i: number, row: Row): void {
    const x = this.left + (i / (this.rows.length - 1)) * (this.right - this.left);
    const [top, foot] = [this.chart.dataset.top, this.chart.dataset.foot];
    const [low, high] = [this.y(row.low), this.y(row.high)];
    this.marks.replaceChildren();
    element("path", "guide", this.marks).setAttribute("d", `M${x} ${top}V${foot}`);
    element("path", "reach", this.marks).setAttribute("d", `M${x} ${low}V${high}M${x - 4} ${low}h8M${x - 4} ${high}h8`);
    const dot = element("circle", "here", this.marks);
    for (const [name, v] of [["cx", x], ["cy", this.y(row.value)], ["r", 4]] as const) dot.setAttribute(name, String(v));
  }

  private y(value: number): number {
    const [top, foot, low, high] = (["top", "foot", "low", "high"] as const).map((k) => Number(this.chart.dataset[k])) as [number, number, number, number];
    return foot + ((value - low) / (high - low)) * (top - foot);
  }
}

function start(curve: HTMLElement): void {
  const table = curve.querySelector<HTMLTableElement>(".figures table");
  const slider = curve.querySelector<HTMLInputElement>(".reader input");
  const output = curve.querySelector<HTMLOutputElement>(".reader output");
  if (!table || !slider || !output) return;
  const rows = read(table);
  const charts = [...curve.querySelectorAll<SVGSVGElement>("svg.chart")];
  const drawings = charts.map((c) => new Drawing(c, rows));
  const show = (i: number): void => {
    const row = rows[i];
    if (!row) return;
    slider.value = String(i);
    slider.setAttribute("aria-valuetext", row.says);
    output.textContent = row.says;
    for (const d of drawings) d.show(i, row);
  };
  slider.addEventListener("input", () => show(slider.valueAsNumber));
  drawings.forEach((d, k) => {
    const point = (e: PointerEvent): void => show(d.quarter(e.clientX));
    charts[k]?.addEventListener("pointermove", point);
    charts[k]?.addEventListener("pointerdown", point);
  });
}

document.querySelectorAll<HTMLElement>(".curve").forEach(start);
