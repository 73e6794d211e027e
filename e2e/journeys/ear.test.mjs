import assert from "node:assert/strict";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, test } from "node:test";
import { chromium } from "playwright-core";
import { open, printed, url } from "../support/browser.mjs";

/** tick is a WAV file of a watch of 18,000 beats that gains 60 s a day: three short noises a beat. */
function tick(seconds) {
  const rate = 48000;
  const n = seconds * rate;
  const pcm = new Float64Array(n);
  const beat = (0.2 / (1 + 60 / 86400)) * rate;
  for (let k = 0; (k + 1) * beat < n; k++) {
    for (const [ms, loud] of [[0, 0.35], [3.5, 0.2], [10.6, 0.6]]) {
      const from = Math.round(0.05 * rate + k * beat + (ms / 1000) * rate);
      for (let i = 0; i < 200 && from + i < n; i++) pcm[from + i] += loud * Math.exp(-i / 45) * Math.sin(2 * Math.PI * 5200 * (i / rate));
    }
  }
  const b = Buffer.alloc(44 + 2 * n);
  b.write("RIFF", 0); b.writeUInt32LE(36 + 2 * n, 4); b.write("WAVEfmt ", 8); b.writeUInt32LE(16, 16);
  b.writeUInt16LE(1, 20); b.writeUInt16LE(1, 22); b.writeUInt32LE(rate, 24); b.writeUInt32LE(2 * rate, 28);
  b.writeUInt16LE(2, 32); b.writeUInt16LE(16, 34); b.write("data", 36); b.writeUInt32LE(2 * n, 40);
  let s = 7;
  for (let i = 0; i < n; i++) {
    s = (s * 1103515245 + 12345) % 2147483648; // a little noise
    b.writeInt16LE(Math.round(20000 * pcm[i] + (s / 2147483648 - 0.5) * 300), 44 + 2 * i);
  }
  return b;
}

const dir = mkdtempSync(join(tmpdir(), "midcase-ear-"));
const file = join(dir, "tick.wav");
writeFileSync(file, tick(30));
after(() => rmSync(dir, { recursive: true, force: true }));

async function firstWatch(page) {
  await page.goto("/");
  await page.locator("table.stock tbody tr th a").first().click();
  await page.locator("#ways summary").click();
  await page.getByRole("link", { name: "Listen to the movement" }).click();
}

test("a sound file is read without a script, and its trace is drawn", async (t) => {
  const page = await open(t, { javaScriptEnabled: false });
  await firstWatch(page);
  await page.getByLabel("Position", { exact: true }).selectOption("6H");
  await page.getByLabel(/Or a sound file/).setInputFiles(file);
  await page.getByRole("button", { name: "Read and add" }).click();
  await page.waitForURL(/ear\?added=/);
  const heard = page.getByRole("region", { name: "Latest recording" });
  assert.match(await heard.innerText(), /6 uppermost[\s\S]*Rate\s+\+(59|60)\.\d/);
  assert.match(await heard.innerText(), /not corrected, ± 1\.7 s\/day/);
  assert.equal(await heard.locator("svg.trace path.even").count(), 2);
  const part = await page.request.get(await heard.locator("audio").getAttribute("src"), { headers: { Range: "bytes=0-3" } });
  assert.equal(part.status(), 206);
  assert.equal(await part.text(), "RIFF");
});

test("the microphone is recorded and read", async (t) => {
  const browser = await chromium.launch({
    executablePath: process.env.CHROMIUM,
    args: ["--no-sandbox", "--disable-gpu", "--use-fake-device-for-media-stream", "--use-fake-ui-for-media-stream", `--use-file-for-fake-audio-capture=${file}`],
  });
  t.after(() => browser.close());
  const window = await browser.newContext({ baseURL: url, permissions: ["microphone"] });
  await window.request.get(printed);
  const page = await window.newPage();
  const errors = [];
  page.on("console", (m) => { if (m.type() === "error") errors.push(m.text()); });
  page.on("pageerror", (e) => errors.push(String(e)));
  await firstWatch(page);
  await page.getByRole("button", { name: "Record by microphone" }).click();
  await page.locator("#ear-says", { hasText: "18,000 beats an hour" }).waitFor({ timeout: 30_000 });
  await page.locator("#ear-trace path.even[d^=M]").waitFor();
  await page.waitForTimeout(5000);
  await page.getByRole("button", { name: "Stop and read" }).click();
  await page.waitForURL(/ear\?added=/);
  assert.match(await page.getByRole("region", { name: "Latest recording" }).innerText(), /18,000\s+beats per hour/);
  assert.deepEqual(errors, [], "errors in the console");
});
