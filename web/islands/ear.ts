// The page on which a movement is heard: records raw samples by the microphone, shows
// their level and a first trace, and puts the recording into the form as a WAV file.
// Without this script the form takes a sound file.
import { Beats, type Seen } from "./ear-beats";
import { asWav } from "./ear-decode";
import { wavFile } from "./ear-wav";

const mostS = 300; // about 40 MB; the page takes 80
const showS = 40;

const svg = "http://www.w3.org/2000/svg";

class Recorder {
  private readonly blocks: Float32Array[] = [];
  private samples = 0;
  private readonly beats: Beats;

  constructor(readonly context: AudioContext, private readonly stream: MediaStream) {
    this.beats = new Beats(context.sampleRate);
  }

  take(block: Float32Array): void {
    this.blocks.push(block);
    this.samples += block.length;
    this.beats.push(block);
  }

  get seconds(): number { return this.samples / this.context.sampleRate; }
  get level(): number { return this.beats.level; }
  get beatsPerHour(): number { return this.beats.beatsPerHour; }
  get seen(): Seen[] { return this.beats.seen; }

  async stop(): Promise<File> {
    for (const t of this.stream.getTracks()) t.stop();
    const rate = this.context.sampleRate;
    await this.context.close();
    return wavFile(this.blocks, rate, "recording.wav");
  }
}

/** microphone asks for the sound as it is: no echo, noise or gain control. */
async function microphone(worklet: string): Promise<Recorder> {
  const stream = await navigator.mediaDevices.getUserMedia({
    audio: { channelCount: 1, echoCancellation: false, noiseSuppression: false, autoGainControl: false },
  });
  const context = new AudioContext();
  await context.audioWorklet.addModule(worklet);
  const recorder = new Recorder(context, stream);
  const hand = new AudioWorkletNode(context, "hand", { numberOfOutputs: 0, channelCount: 1, channelCountMode: "explicit" });
  hand.port.onmessage = (e: MessageEvent<Float32Array>) => recorder.take(e.data);
  context.createMediaStreamSource(stream).connect(hand);
  await context.resume();
  return recorder;
}

/** draw shows the last beats: full squares even, open circles odd. */
function draw(chart: Element, all: Seen[]): void {
  const [width, height, left, foot] = [560, 170, 34, 150];
  const end = all[all.length - 1]?.at ?? 0;
  const seen = all.filter((b) => b.at > end - showS);
  if (seen.length < 2) return;
  const late = seen.map((b) => b.lateMS).sort((a, b) => a - b);
  const low = late[Math.floor(late.length * 0.03)] ?? 0;
  const high = late[Math.ceil(late.length * 0.97) - 1] ?? 0;
  const room = Math.max(0.15 * (high - low), (4 - (high - low)) / 2);
  const from = Math.max(0, end - showS);
  const x = (at: number): number => left + ((width - left - 6) * (at - from)) / Math.max(end - from, 10);
  const y = (ms: number): number => foot - ((foot - 14) * (Math.max(low - room, Math.min(high + room, ms)) - low + room)) / (high - low + 2 * room);
  const path = (name: string, d: string): Element => {
    const p = document.createElementNS(svg, "path");
    p.setAttribute("class", name);
    p.setAttribute("d", d);
    return p;
  };
  const label = (text: string, px: number, py: number): Element => {
    const t = document.createElementNS(svg, "text");
    t.setAttribute("x", String(px));
    t.setAttribute("y", String(py));
    t.textContent = text;
    return t;
  };
  const shown = [path("axis", `M${left} ${foot}H${width - 6}`), label("late, ms", 0, 11), label(`${Math.round(from)} s`, left, height - 3), label(`${Math.round(end)} s`, width - 40, height - 3)];
  for (const ms of [low, high]) shown.push(label(ms.toFixed(1).replace("-", "−"), 0, y(ms) + 4));
  shown.push(path("beat even", seen.filter((b) => !b.odd).map((b) => `M${x(b.at) - 2.4} ${y(b.lateMS) - 2.4}h4.8v4.8h-4.8z`).join("")));
  shown.push(path("beat odd", seen.filter((b) => b.odd).map((b) => `M${x(b.at) - 2.4} ${y(b.lateMS)}a2.4 2.4 0 1 0 4.8 0a2.4 2.4 0 1 0 -4.8 0`).join("")));
  chart.replaceChildren(...shown);
}

function words(error: unknown): string {
  const name = error instanceof DOMException ? error.name : "";
  if (name === "NotAllowedError") return "The browser may not use the microphone. Allow it for this page, or choose a sound file.";
  if (name === "NotFoundError") return "There is no microphone. Choose a sound file.";
  return "The microphone cannot be used. Choose a sound file.";
}

function wire(form: HTMLFormElement): void {
  const part = <T extends Element>(id: string): T => {
    const found = form.querySelector<T>(`#${id}`);
    if (!found) throw new Error(`no ${id} on this page`);
    return found;
  };
  const [live, start, stop, says] = [part<HTMLElement>("ear-live"), part<HTMLButtonElement>("ear-start"), part<HTMLButtonElement>("ear-stop"), part<HTMLElement>("ear-says")];
  const [level, chart, file] = [part<HTMLMeterElement>("ear-level"), part<SVGElement>("ear-trace"), part<HTMLInputElement>("sound")];
  const leastS = Number(form.dataset.least ?? 6);
  const reference = form.dataset.reference !== undefined; // a clock's one sound a second, no watch
  file.addEventListener("change", async () => {
    const chosen = file.files?.[0];
    if (!chosen || !("AudioContext" in window)) return;
    const wav = await asWav(chosen);
    if (wav === chosen || file.files?.[0] !== chosen) return; // another one was chosen meanwhile
    const carrier = new DataTransfer();
    carrier.items.add(wav);
    file.files = carrier.files;
  });
  if (!("mediaDevices" in navigator) || !("AudioWorkletNode" in window)) return;
  live.hidden = false;
  let recorder: Recorder | undefined;
  let timer = 0;

  const show = (): void => {
    if (!recorder) return;
    level.value = Math.min(1, recorder.level);
    const heard = reference ? (recorder.seconds < leastS ? `, at least ${leastS} s are needed` : ", the longer the better") : recorder.beatsPerHour > 0 ? `, ${recorder.beatsPerHour.toLocaleString("en")} beats an hour` : ", listening for a beat";
    const text = recorder.seconds < 1 ? "listening" : `${Math.floor(recorder.seconds)} s${heard}`;
    if (says.textContent !== text) says.textContent = text;
    if (!reference) draw(chart, recorder.seen);
    stop.disabled = recorder.seconds < leastS;
    if (recorder.seconds > mostS) stop.click();
  };

  start.addEventListener("click", async () => {
    start.disabled = true;
    try {
      recorder = await microphone(form.dataset.worklet ?? "");
      timer = window.setInterval(show, 250);
    } catch (error) {
      says.textContent = words(error);
      start.disabled = false;
    }
  });
  stop.addEventListener("click", async () => {
    if (!recorder) return;
    clearInterval(timer);
    stop.disabled = true;
    says.textContent = "reading";
    const carrier = new DataTransfer();
    carrier.items.add(await recorder.stop());
    recorder = undefined;
    file.files = carrier.files;
    form.requestSubmit();
    start.disabled = false;
  });
  // A recording may be long: the browser itself sends the form and shows how far it is.
  form.addEventListener("submit", (e) => e.stopPropagation());
}

const form = document.querySelector<HTMLFormElement>("#ear-form");
if (form) wire(form);
