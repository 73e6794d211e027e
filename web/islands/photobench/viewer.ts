// A picture that can be zoomed, moved and pointed at by pointer, touch and keyboard.
import type { PickField, Point } from "./fields";

const svg = "http://www.w3.org/2000/svg";
const tapPx = 6; // a press that moves less is a pick
const grabPx = 12; // how near a point must be to be taken along

export class Viewer {
  picked: (p: Point) => void = () => undefined;
  moved: (f: PickField, i: number, p: Point) => void = () => undefined;
  undone: () => void = () => undefined;
  onward: () => void = () => undefined;

  private readonly stage = document.createElement("div");
  private readonly image = new Image();
  private readonly drawing = document.createElementNS(svg, "svg");
  private readonly says = document.createElement("span");
  private readonly width: number;
  private readonly height: number;
  private scale = 1;
  private x = 0;
  private y = 0;
  private cursor: Point | undefined; // of the keyboard, in px of the picture
  private fields: PickField[] = [];
  private active: PickField | undefined;
  private marks: { shape: string; label: string }[] = [];

  constructor(at: HTMLElement) {
    this.width = Number(at.dataset.width);
    this.height = Number(at.dataset.height);
    this.image.alt = at.dataset.alt ?? "";
    this.image.src = at.dataset.src ?? "";
    this.image.draggable = false;
    this.stage.className = "stage";
    this.stage.tabIndex = 0;
    this.stage.setAttribute("role", "application");
    this.stage.setAttribute("aria-label", `${at.dataset.alt ?? "Picture"}: arrow keys move the cross, Enter sets a point, plus and minus zoom, 0 shows the whole picture, Backspace takes the last point back`);
    this.drawing.setAttribute("aria-hidden", "true");
    this.stage.append(this.image, this.drawing);
    at.replaceChildren(this.stage, this.tools());
    this.wirePointers();
    this.wireKeys();
    new ResizeObserver(() => this.whole()).observe(this.stage);
    this.whole();
  }

  makeSmall(): void { this.stage.classList.add("small-stage"); }

  private tools(): HTMLElement {
    const bar = document.createElement("div");
    bar.className = "tools noprint";
    const button = (text: string, does: () => void): void => {
      const b = document.createElement("button");
      b.type = "button";
      b.className = "plain";
      b.textContent = text;
      b.addEventListener("click", does);
      bar.append(b);
    };
    button("Nearer", () => this.zoom(1.6));
    button("Farther", () => this.zoom(1 / 1.6));
    button("Whole picture", () => this.whole());
    button("Take back", () => this.undone());
    button("Next field", () => this.onward());
    this.says.className = "says";
    this.says.setAttribute("role", "status");
    bar.append(this.says);
    return bar;
  }

  say(text: string): void { if (this.says.textContent !== text) this.says.textContent = text; }

  show(fields: PickField[], active: PickField | undefined): void {
    this.fields = fields;
    this.active = active;
    this.draw();
  }

  found(marks: { shape: string; label: string }[]): void {
    this.marks = marks;
    this.draw();
  }

  private whole(): void {
    const { clientWidth: w, clientHeight: h } = this.stage;
    if (w === 0 || h === 0) return;
    this.scale = Math.min(w / this.width, h / this.height);
    this.x = (w - this.width * this.scale) / 2;
    this.y = (h - this.height * this.scale) / 2;
    this.place();
  }

  /** zoom about a place of the stage; the middle, or the cross, where none is given. */
  private zoom(by: number, about?: Point): void {
    const least = 0.8 * Math.min(this.stage.clientWidth / this.width, this.stage.clientHeight / this.height);
    const next = Math.min(Math.max(this.scale * by, least), 24);
    const at = about ?? (this.cursor ? this.onStage(this.cursor) : [this.stage.clientWidth / 2, this.stage.clientHeight / 2]);
    const k = next / this.scale;
    this.x = at[0] - (at[0] - this.x) * k;
    this.y = at[1] - (at[1] - this.y) * k;
    this.scale = next;
    this.place();
  }

  private place(): void {
    // some of the picture always stays in sight
    const margin = 40;
    this.x = Math.min(Math.max(this.x, margin - this.width * this.scale), this.stage.clientWidth - margin);
    this.y = Math.min(Math.max(this.y, margin - this.height * this.scale), this.stage.clientHeight - margin);
    this.image.style.width = `${this.width}px`;
    this.image.style.height = `${this.height}px`;
    this.image.style.transform = `translate(${this.x}px, ${this.y}px) scale(${this.scale})`;
    this.image.style.imageRendering = this.scale > 3 ? "pixelated" : "auto";
    this.draw();
  }

  private onStage([x, y]: Point): Point { return [this.x + x * this.scale, this.y + y * this.scale]; }
  private inPicture([x, y]: Point): Point { return [(x - this.x) / this.scale, (y - this.y) / this.scale]; }
  private clamp([x, y]: Point): Point { return [Math.min(Math.max(x, 0), this.width), Math.min(Math.max(y, 0), this.height)]; }

  private wirePointers(): void {
    const down = new Map<number, Point>();
    let start: Point = [0, 0];
    let still = true;
    let grabbed: { field: PickField; i: number } | undefined;
    const at = (e: PointerEvent | WheelEvent): Point => {
      const r = this.stage.getBoundingClientRect();
      return [e.clientX - r.left - this.stage.clientLeft, e.clientY - r.top - this.stage.clientTop];
    };
    this.stage.addEventListener("pointerdown", (e) => {
      if (e.button !== 0) return;
      this.stage.setPointerCapture(e.pointerId);
      down.set(e.pointerId, at(e));
      if (down.size === 1) {
        [start, still] = [at(e), true];
        grabbed = this.near(start);
      } else {
        [still, grabbed] = [false, undefined];
      }
      this.cursor = undefined;
    });
    this.stage.addEventListener("pointermove", (e) => {
      const last = down.get(e.pointerId);
      if (!last) return;
      const now = at(e);
      if (still && Math.hypot(now[0] - start[0], now[1] - start[1]) < tapPx) return;
      still = false;
      if (down.size === 1) {
        if (grabbed) this.moved(grabbed.field, grabbed.i, this.clamp(this.inPicture(now)));
        else {
          this.x += now[0] - last[0];
          this.y += now[1] - last[1];
          this.place();
        }
      } else {
        const other = [...down].find(([id]) => id !== e.pointerId)?.[1];
        if (other) {
          const before = Math.hypot(last[0] - other[0], last[1] - other[1]);
          const after = Math.hypot(now[0] - other[0], now[1] - other[1]);
          this.x += (now[0] - last[0]) / 2;
          this.y += (now[1] - last[1]) / 2;
          if (before > 4) this.zoom(after / before, [(now[0] + other[0]) / 2, (now[1] + other[1]) / 2]);
        }
      }
      down.set(e.pointerId, now);
    });
    const up = (e: PointerEvent): void => {
      if (!down.delete(e.pointerId)) return;
      if (e.type === "pointerup" && still && down.size === 0) this.pick(this.inPicture(at(e)));
      grabbed = undefined;
    };
    this.stage.addEventListener("pointerup", up);
    this.stage.addEventListener("pointercancel", up);
    this.stage.addEventListener("wheel", (e) => {
      e.preventDefault();
      this.zoom(Math.exp(-e.deltaY * (e.deltaMode === 0 ? 0.0015 : 0.05)), at(e));
    }, { passive: false });
  }

  private pick(p: Point): void {
    if (p[0] < 0 || p[1] < 0 || p[0] > this.width || p[1] > this.height) return;
    this.picked(p);
  }

  /** near is a point of the field in hand that lies under the pointer. */
  private near(at: Point): { field: PickField; i: number } | undefined {
    for (const field of this.active && this.fields.includes(this.active) ? [this.active, ...this.fields] : this.fields) {
      const i = field.points().findIndex((p) => {
        const q = this.onStage(p);
        return Math.hypot(q[0] - at[0], q[1] - at[1]) < grabPx;
      });
      if (i >= 0) return { field, i };
    }
    return undefined;
  }

  private wireKeys(): void {
    const steps: Record<string, Point> = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
    this.stage.addEventListener("focus", () => {
      if (this.stage.matches(":focus-visible")) {
        this.cursor ??= this.clamp(this.inPicture([this.stage.clientWidth / 2, this.stage.clientHeight / 2]));
        this.draw();
      }
    });
    this.stage.addEventListener("blur", () => {
      this.cursor = undefined;
      this.draw();
    });
    this.stage.addEventListener("keydown", (e) => {
      if (e.ctrlKey || e.metaKey || e.altKey) return;
      const step = steps[e.key];
      if (step) {
        const by = e.shiftKey ? 1 / this.scale : 12 / this.scale;
        const from = this.cursor ?? this.inPicture([this.stage.clientWidth / 2, this.stage.clientHeight / 2]);
        this.cursor = this.clamp([from[0] + step[0] * by, from[1] + step[1] * by]);
        this.follow();
      } else if (e.key === "+" || e.key === "=") this.zoom(1.4);
      else if (e.key === "-") this.zoom(1 / 1.4);
      else if (e.key === "0") this.whole();
      else if (e.key === "Backspace") this.undone();
      else if ((e.key === "Enter" || e.key === " ") && this.cursor) this.pick(this.cursor);
      else return;
      e.preventDefault();
    });
  }

  /** follow moves the picture so that the cross stays in sight. */
  private follow(): void {
    if (!this.cursor) return;
    const [x, y] = this.onStage(this.cursor);
    const margin = 30;
    this.x += Math.max(0, margin - x) - Math.max(0, x - this.stage.clientWidth + margin);
    this.y += Math.max(0, margin - y) - Math.max(0, y - this.stage.clientHeight + margin);
    this.place();
  }

  private draw(): void {
    const out: Element[] = [];
    const shape = (name: string, classes: string, attributes: Record<string, string | number>): void => {
      for (const c of [`${classes} under`, classes]) {
        const s = document.createElementNS(svg, name);
        s.setAttribute("class", c);
        for (const [k, v] of Object.entries(attributes)) s.setAttribute(k, String(v));
        out.push(s);
      }
    };
    const label = (text: string, x: number, y: number): void => {
      const t = document.createElementNS(svg, "text");
      t.setAttribute("x", String(x));
      t.setAttribute("y", String(y));
      t.textContent = text;
      out.push(t);
    };
    for (const m of this.marks) this.drawFound(m, shape, label);
    for (const f of this.fields) this.drawField(f, shape, label);
    if (this.cursor) {
      const [x, y] = this.onStage(this.cursor);
      shape("path", "cross", { d: `M${x - 16} ${y}h12M${x + 4} ${y}h12M${x} ${y - 16}v12M${x} ${y + 4}v12` });
    }
    this.drawing.replaceChildren(...out);
  }

  private drawFound(m: { shape: string; label: string }, shape: Shape, label: Label): void {
    const [kind, ...rest] = m.shape.split(" ");
    const v = rest.map(Number);
    const at = (i: number): number => v[i] ?? 0;
    if (kind === "line") {
      const a = this.onStage([at(0), at(1)]);
      const b = this.onStage([at(2), at(3)]);
      shape("line", "got", { x1: a[0], y1: a[1], x2: b[0], y2: b[1] });
      label(m.label, (a[0] + b[0]) / 2 + 6, (a[1] + b[1]) / 2 - 6);
    } else if (kind === "ellipse") {
      const c = this.onStage([at(0), at(1)]);
      shape("ellipse", "got", { cx: c[0], cy: c[1], rx: at(2) * this.scale, ry: at(3) * this.scale, transform: `rotate(${at(4)} ${c[0]} ${c[1]})` });
      label(m.label, c[0] + 4, c[1] - at(3) * this.scale - 5);
    }
  }

  private drawField(f: PickField, shape: Shape, label: Label): void {
    const points = f.points().map((p) => this.onStage(p));
    const now = f === this.active ? " now" : "";
    const [first, second] = points;
    if (f.disc && first && second) {
      shape("circle", "of", { cx: first[0], cy: first[1], r: Math.hypot(second[0] - first[0], second[1] - first[1]) });
    } else if (points.length === 2 && first && second) {
      shape("line", "of", { x1: first[0], y1: first[1], x2: second[0], y2: second[1] });
    } else if (points.length === 4 && f.input.name === "scale_at") {
      shape("polygon", "of", { points: points.map((p) => p.join(",")).join(" ") });
    }
    for (const [x, y] of points) {
      shape("path", `pt${now}`, { d: `M${x - 8} ${y}h5M${x + 3} ${y}h5M${x} ${y - 8}v5M${x} ${y + 3}v5` });
    }
    if (first && f === this.active) label(f.label, first[0] + 10, first[1] - 8);
  }
}

type Shape = (name: string, classes: string, attributes: Record<string, string | number>) => void;
type Label = (text: string, x: number, y: number) => void;
