// Decodes recordings that the shop cannot read and the browser can: those of telephones, such as M4A.
import { wavFile } from "./ear-wav";

/** readable are the endings of what the shop reads itself. */
const readable = [".wav", ".flac", ".mp3", ".opus", ".ogg"];

/** asWav is a recording as a WAV file of one channel; the file itself where the shop reads it, or nobody does. */
export async function asWav(file: File): Promise<File> {
  const name = file.name.toLowerCase();
  if (readable.some((ending) => name.endsWith(ending))) return file;
  const context = new AudioContext();
  try {
    const sound = await context.decodeAudioData(await file.arrayBuffer());
    const channels = Array.from({ length: sound.numberOfChannels }, (_, i) => sound.getChannelData(i));
    const mixed = new Float32Array(sound.length);
    for (const channel of channels) {
      for (let i = 0; i < mixed.length; i++) mixed[i] = (mixed[i] ?? 0) + (channel[i] ?? 0) / channels.length;
    }
    return wavFile([mixed], sound.sampleRate, `${file.name}.wav`);
  } catch {
    return file; // the shop says what it is and what to do
  } finally {
    await context.close();
  }
}
