// A first look at the beats while the microphone listens. The figures that count are
// read by the shop from the whole recording; this shows only that a watch is heard and
// how its beats lie.

/** Seen is one beat: when it came, in seconds, and how late against the nominal beat. */
export interface Seen {
  at: number;
  lateMS: number;
  odd: boolean;
}

const usual = [14400, 16200, 18000, 19800, 21600, 25200, 28800, 36000];
const hz = 4000; // values of the envelope a second
const listenS = 5; // before a beat rate is looked for
const reachS = 0.012; // half the width of the template
const searchS = 0.006; // how far from its place a beat is looked for
const leastStrength = 0.08;

export class Beats {
  readonly seen: Seen[] = [];
  level = 0;
  beatsPerHour = 0;

  private readonly step: number;
  private env: number[] = [];
  private dropped = 0; // values of the envelope that were let go
  private sum = 0;
  private n = 0;
  private samples = 0;
  private last = 0;
  private template: number[] = [];
  private next = 0; // place of the next beat, in values
  private first = 0;
  private count = 0;
  private skew = 0; // values by which odd beats come late

  constructor(rate: number) {
    this.step = rate / hz;
  }

  push(block: Float32Array): void {
    let top = 0;
    for (const v of block) {
      const d = v - this.last; // a difference quiets hum and voices
      this.last = v;
      top = Math.max(top, Math.abs(v));
      this.sum += d * d;
      this.n++;
      if (++this.samples >= this.step * (this.dropped + this.env.length + 1)) {
        this.env.push(Math.sqrt(this.sum / this.n));
        this.sum = 0;
        this.n = 0;
      }
    }
    this.level = Math.max(top, this.level * 0.8);
    if (this.beatsPerHour === 0) {
      if (this.env.length >= listenS * hz) this.look();
    } else {
      this.follow();
    }
  }

  /** look finds the beat rate in the last seconds by autocorrelation. */
  private look(): void {
    const y = compressed(this.env.slice(-listenS * hz));
    let best = 0;
    for (const r of usual) {
      const T = (3600 / r) * hz;
      const between = Math.max(...[0.25, 0.33, 0.5, 0.67, 0.75].map((p) => comb(y, T, p)));
      const strength = comb(y, T, 0) - Math.max(0, between);
      if (strength > Math.max(best, leastStrength)) {
        best = strength;
        this.beatsPerHour = r;
      }
    }
    if (best > 0) this.begin(y);
    else this.forget(hz);
  }

  /** begin folds the last seconds over the swing: phase, beat error and template. */
  private begin(y: number[]): void {
    const swing = 2 * (3600 / this.beatsPerHour) * hz;
    const n = Math.round(swing);
    const ring = new Array<number>(n).fill(0);
    y.forEach((v, i) => {
      const j = Math.floor(((i % swing) / swing) * n);
      ring[j] = (ring[j] ?? 0) + v;
    });
    const at = (i: number): number => ring[((i % n) + n) % n] ?? 0;
    const half = Math.round(n / 2);
    const wide = Math.round(0.003 * hz);
    const weight = (i: number): number => {
      let s = 0;
      for (let k = -wide; k <= wide; k++) s += at(i + k);
      return s;
    };
    const loudest = (from: number, to: number, f: (i: number) => number): number => {
      let place = from;
      for (let i = from; i < to; i++) if (f(i) > f(place)) place = i;
      return place;
    };
    const even = loudest(0, half, (i) => weight(i) + weight(i + half));
    const odd = loudest(even + half - wide, even + half + wide, weight);
    this.skew = odd - even - half;
    const reach = Math.round(reachS * hz);
    this.template = centred(Array.from({ length: 2 * reach + 1 }, (_, i) => at(even + i - reach) + at(odd + i - reach)));
    this.first = this.next = this.dropped + this.env.length - y.length + even;
    this.count = 0;
    this.follow();
  }

  /** follow places every beat that is there in full. */
  private follow(): void {
    const T = (3600 / this.beatsPerHour) * hz;
    const reach = (this.template.length - 1) / 2;
    const search = Math.round(searchS * hz);
    for (;;) {
      const odd = this.count % 2 === 1;
      const place = Math.round(this.next + (odd ? this.skew : 0)) - this.dropped;
      if (place + reach + search + 1 >= this.env.length) break;
      if (place - reach - search >= 0) this.place(place, odd, reach, search);
      this.count++;
      this.next += T;
    }
    this.forget(2 * hz);
  }

  private place(place: number, odd: boolean, reach: number, search: number): void {
    const y = compressed(this.env.slice(place - reach - search, place + reach + search + 1));
    const fits = Array.from({ length: 2 * search + 1 }, (_, s) => this.template.reduce((sum, v, i) => sum + v * (y[s + i] ?? 0), 0));
    let best = 0;
    fits.forEach((v, i) => { if (v > (fits[best] ?? 0)) best = i; });
    if (best === 0 || best === 2 * search) return; // not this one
    const [a, b, c] = [fits[best - 1] ?? 0, fits[best] ?? 0, fits[best + 1] ?? 0];
    const bend = a - 2 * b + c;
    const found = place - search + best + (bend < 0 ? (0.5 * (a - c)) / bend : 0) + this.dropped;
    const nominal = this.first + this.count * (3600 / this.beatsPerHour) * hz;
    this.next += 0.15 * (found - this.next - (odd ? this.skew : 0)); // the watch gains or loses
    this.seen.push({ at: found / hz, lateMS: ((found - nominal) / hz) * 1000, odd });
    if (this.seen.length > 2000) this.seen.splice(0, 1000);
  }

  private forget(keep: number): void {
    const n = Math.max(0, this.env.length - Math.max(keep, this.beatsPerHour === 0 ? listenS * hz - hz : 0));
    this.env.splice(0, n);
    this.dropped += n;
  }
}

/** compressed is log(1 + v / median), less its mean. */
function compressed(v: number[]): number[] {
  const middle = [...v].sort((a, b) => a - b)[Math.floor(v.length / 2)] || 1e-9;
  return centred(v.map((x) => Math.log1p(x / middle)));
}

function centred(v: number[]): number[] {
  const mean = v.reduce((a, b) => a + b, 0) / Math.max(v.length, 1);
  return v.map((x) => x - mean);
}

/** comb is the mean autocorrelation at (k + phase) T, each the best of its neighbours. */
function comb(y: number[], T: number, phase: number): number {
  let all = 0;
  for (const v of y) all += v * v;
  let sum = 0;
  let n = 0;
  for (let k = 1; (k + phase) * T < y.length * 0.4; k++) {
    const lag = Math.round((k + phase) * T);
    let best = -Infinity;
    for (let l = lag - 2; l <= lag + 2; l++) {
      let s = 0;
      for (let i = l; i < y.length; i++) s += (y[i] ?? 0) * (y[i - l] ?? 0);
      best = Math.max(best, (s / Math.max(all, 1e-12)) * (y.length / (y.length - l)));
    }
    sum += best;
    n++;
  }
  return n > 0 ? sum / n : 0;
}
