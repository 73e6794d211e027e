// Fields that hold points of a picture as text: "412.5 300; 618 302.25".

export type Point = readonly [number, number];

export class PickField {
  readonly viewer: string;
  private readonly most: number;
  private readonly least: number;

  constructor(readonly input: HTMLInputElement) {
    this.viewer = input.dataset.viewer ?? "viewer";
    this.most = Number(input.dataset.most ?? 1);
    this.least = Number(input.dataset.least ?? 1);
  }

  /** disc is a middle and a point of the edge. */
  get disc(): boolean { return this.input.dataset.pick === "disc"; }
  /** fixed takes a certain number of points and then is done. */
  get fixed(): boolean { return this.most === this.least; }
  get full(): boolean { return this.fixed && this.points().length >= this.most; }
  get label(): string { return (this.input.labels?.[0]?.firstChild?.textContent ?? this.input.name).trim(); }

  points(): Point[] {
    return this.input.value.split(/[;\n]/).flatMap((part) => {
      const [x, y, more] = part.trim().split(/[\s,]+/).map(Number);
      return x !== undefined && y !== undefined && more === undefined && Number.isFinite(x) && Number.isFinite(y) ? [[x, y] as const] : [];
    });
  }

  private write(all: readonly Point[]): void {
    this.input.value = all.map(([x, y]) => `${x.toFixed(1)} ${y.toFixed(1)}`).join("; ");
  }

  /** add appends a point; a full field of one or two points begins anew. */
  add(p: Point): void {
    const all = this.points();
    this.write(this.fixed && all.length >= this.most ? [p] : [...all, p].slice(0, this.most));
  }

  set(i: number, p: Point): void { this.write(this.points().map((q, k) => (k === i ? p : q))); }
  removeLast(): void { this.write(this.points().slice(0, -1)); }

  mark(active: boolean): void { this.input.closest(".field")?.classList.toggle("picking", active); }

  /** wants says what is to be pointed at now. */
  wants(): string {
    const n = this.points().length;
    if (this.disc) return `${this.label}: ${n === 1 ? "now its edge" : "its middle"}`;
    if (this.most === 1) return this.label;
    if (this.fixed) return `${this.label}: point ${Math.min(n, this.most - 1) + 1} of ${this.most}`;
    return `${this.label}: ${n === 0 ? "first point" : `${n} so far`}`;
  }
}

export function picks(root: ParentNode): PickField[] {
  return [...root.querySelectorAll<HTMLInputElement>("input[data-pick]")].map((i) => new PickField(i));
}
