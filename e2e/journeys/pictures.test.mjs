import assert from "node:assert/strict";
import { spawnSync } from "node:child_process";
import { mkdtempSync, readdirSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { test } from "node:test";
import { open, refused } from "../support/browser.mjs";
import { serve } from "../support/server.mjs";

/** taken is a JPEG with the moment it was taken written into it, as cameras do (EXIF DateTimeOriginal, CIPA DC-008). */
function taken(jpeg, when) {
  const text = Buffer.from(`${when}\0`, "latin1"); // 20 bytes
  const tiff = Buffer.alloc(8 + 18 + 18 + 20);
  tiff.write("II*\0", 0, "latin1");
  tiff.writeUInt32LE(8, 4);
  tiff.writeUInt16LE(1, 8); // the first directory: where that of EXIF is
  tiff.writeUInt16LE(0x8769, 10), tiff.writeUInt16LE(4, 12), tiff.writeUInt32LE(1, 14), tiff.writeUInt32LE(26, 18);
  tiff.writeUInt16LE(1, 26); // that of EXIF: when it was taken
  tiff.writeUInt16LE(0x9003, 28), tiff.writeUInt16LE(2, 30), tiff.writeUInt32LE(20, 32), tiff.writeUInt32LE(44, 36);
  text.copy(tiff, 44);
  const body = Buffer.concat([Buffer.from("Exif\0\0", "latin1"), tiff]);
  const head = Buffer.from([0xff, 0xe1, 0, 0]);
  head.writeUInt16BE(body.length + 2, 2);
  return Buffer.concat([jpeg.subarray(0, 2), head, body, jpeg.subarray(2)]);
}

test("thirty pictures dropped at once: grouped by time, views proposed, a repeat found, corrected by keys, kept", async (t) => {
  const dir = mkdtempSync(join(tmpdir(), "midcase-pictures-"));
  const shop = join(dir, "shop");
  const made = spawnSync(process.env.MIDCASE_BIN, ["demo", "--dir", shop, "--only-make", "--watches", "8"], { encoding: "utf8" });
  assert.equal(made.status, 0, made.stderr);
  const server = await serve(process.env.MIDCASE_BIN, shop);
  t.after(async () => {
    await server.stop();
    rmSync(dir, { recursive: true, force: true });
  });
  const from = join(shop, "plain", "pictures");
  const drawn = readdirSync(from).filter((n) => n.endsWith(".jpg")).sort();
  assert.ok(drawn.length >= 29, `${drawn.length} pictures were drawn`);
  const page = await open(t, { at: server.url, errors: refused });
  const files = [];
  let second = 0, watch = "";
  for (const name of drawn.slice(0, 29)) {
    const of = name.slice(0, 2);
    second += watch && of !== watch ? 90 : 9;
    watch = of;
    const when = new Date(Date.UTC(2026, 2, 1, 10, 0, second)).toISOString().replace("T", " ").replaceAll("-", ":").slice(0, 19);
    files.push({ name, mimeType: "image/jpeg", buffer: taken(readFileSync(join(from, name)), when) });
  }
  files.push({ ...files[1], name: "again.jpg" });
  files.push({ name: "broken.jpg", mimeType: "image/jpeg", buffer: Buffer.from("no picture") });
  await page.goto("/contact-sheets");
  await page.locator("#pictures").setInputFiles(files);
  await page.getByRole("button", { name: "Sort them" }).click();
  await page.waitForURL(/\/contact-sheets\/\w+/);

  const watches = new Set(drawn.slice(0, 29).map((n) => n.slice(0, 2))).size;
  assert.equal(await page.locator("[data-group]").count(), watches);
  assert.match(await page.locator("main").innerText(), /broken\.jpg: /);
  assert.match(await page.locator("[data-shot='29']").innerText(), /the same file as/);
  assert.equal(await page.locator("[data-shot='29'] input[name=keep]").isChecked(), false);
  let right = 0;
  for (let i = 0; i < 29; i++) {
    const view = await page.locator(`[name='view.${i}']`).inputValue();
    if (files[i].name.endsWith(`-${view}.jpg`)) right++;
  }
  t.diagnostic(`${right} of 29 views proposed right`);
  assert.ok(right >= 24, `${right} of 29 views are right`);

  // by keys: to the second picture, its view, into the next watch and back
  const shots = page.locator("[data-shot]");
  await shots.first().focus();
  await page.keyboard.press("ArrowRight");
  await page.keyboard.press("3");
  const second2 = page.locator("[data-shot]:focus");
  assert.equal(await second2.locator("select").inputValue(), "back");
  await page.keyboard.press("1");
  await page.keyboard.press("+");
  assert.equal(await second2.locator("input[name^='group.']").inputValue(), "2");
  await page.keyboard.press("-");
  assert.equal(await second2.locator("input[name^='group.']").inputValue(), "1");

  // nothing is kept before each watch is named
  await page.locator("[name='watch.1']").fill("1");
  await page.locator("[name='watch.2']").fill("no such file");
  await page.getByRole("button", { name: "Keep them" }).click();
  await page.waitForSelector("text=Nothing was kept");
  assert.match(await page.locator("[data-group='2'] .error").innerText(), /no file of ours/);
  assert.equal(await page.locator("[name='watch.1']").inputValue(), "1");
  for (let g = 2; g <= watches; g++) await page.locator(`[name='watch.${g}']`).fill(g === 2 ? "Corvane KR-2" : String(g));
  await page.getByRole("button", { name: "Keep them" }).click();
  await page.waitForSelector("text=Pictures kept");
  const kept = await page.locator("main").innerText();
  assert.match(kept, /File 1, .*: \d+ added/);
  assert.match(kept, /Corvane KR-2.*new file/);
  await page.goBack();
  await page.goto("/watches/w_demo01");
  assert.ok((await page.locator("img[src*='/pictures/'], img[src*='side=']").count()) >= 1, "the watch shows no picture");
  await page.goto("about:blank"); // small pictures still on their way are not waited for
});
