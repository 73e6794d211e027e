// Writes samples as a WAV file: one channel, 24 bits, as the shop reads it.

export function wavFile(blocks: Float32Array[], rate: number, name: string): File {
  const samples = blocks.reduce((n, b) => n + b.length, 0);
  const bytes = new DataView(new ArrayBuffer(44 + 3 * samples + ((3 * samples) % 2)));
  const text = (at: number, s: string): void => { for (let i = 0; i < s.length; i++) bytes.setUint8(at + i, s.charCodeAt(i)); };
  text(0, "RIFF");
  bytes.setUint32(4, bytes.byteLength - 8, true);
  text(8, "WAVEfmt ");
  bytes.setUint32(16, 16, true);
  bytes.setUint16(20, 1, true); // PCM
  bytes.setUint16(22, 1, true); // channels
  bytes.setUint32(24, rate, true);
  bytes.setUint32(28, rate * 3, true);
  bytes.setUint16(32, 3, true);
  bytes.setUint16(34, 24, true);
  text(36, "data");
  bytes.setUint32(40, 3 * samples, true);
  let at = 44;
  for (const block of blocks) {
    for (const v of block) {
      const n = Math.round(Math.max(-1, Math.min(1, v)) * 0x7fffff);
      bytes.setUint8(at++, n & 0xff);
      bytes.setUint8(at++, (n >> 8) & 0xff);
      bytes.setUint8(at++, (n >> 16) & 0xff);
    }
  }
  return new File([bytes.buffer], name, { type: "audio/wav" });
}
