// Runs beside the page's own script, on the sound thread: hands the samples of the
// microphone on in blocks, as they come.

declare class AudioWorkletProcessor {
  readonly port: MessagePort;
}
declare function registerProcessor(name: string, made: new () => AudioWorkletProcessor): void;

const block = 2048;

class Hand extends AudioWorkletProcessor {
  private held = new Float32Array(block);
  private n = 0;

  process(inputs: Float32Array[][]): boolean {
    const samples = inputs[0]?.[0];
    if (!samples) return true;
    for (const v of samples) {
      this.held[this.n++] = v;
      if (this.n === block) {
        this.port.postMessage(this.held, [this.held.buffer]);
        this.held = new Float32Array(block);
        this.n = 0;
      }
    }
    return true;
  }
}

registerProcessor("hand", Hand);
