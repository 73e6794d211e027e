import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { test } from "node:test";
import { open, phone } from "../support/browser.mjs";

const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");

test("a statement of ownership is looked at, made and numbered, without a script", async (t) => {
  const page = await open(t, { javaScriptEnabled: false });
  await page.goto("/documents");
  await page.getByLabel(/Which watch/).fill("1");
  await page.getByRole("button", { name: "Look up" }).click();
  await page.getByRole("link", { name: /^File 1,/ }).click();
  const row = page.getByRole("row").filter({ has: page.getByRole("rowheader", { name: "Purchase statement" }) }).first();
  const draft = await page.request.get(await row.getByRole("link", { name: "Markdown" }).getAttribute("href"));
  assert.match(await draft.text(), /Purchase statement, draft/);
  await row.getByRole("button", { name: /^Issue/ }).click();
  await page.waitForURL(/documents\/pa_.*made=1/);
  assert.match(await page.getByRole("heading", { level: 1 }).innerText(), /^Purchase statement P-\d{4}-\d{4}$/);
  const pdf = await page.request.get(await page.getByRole("link", { name: "PDF" }).getAttribute("href"));
  assert.equal(pdf.headers()["content-type"], "application/pdf");
  assert.equal((await pdf.body()).subarray(0, 5).toString(), "%PDF-");
  assert.match(await page.locator("main").innerText(), /prints as made/);
});

test("the papers of a watch stand on a phone screen", async (t) => {
  const page = await open(t, phone);
  await page.goto("/documents?watch=w_demo01");
  await page.getByRole("heading", { name: /^Papers of/ }).waitFor();
  for (const path of ["/documents?watch=w_demo01", "/documents", "/documents/letterhead", "/ear/clocks", "/watches/w_demo01/ear"]) {
    await page.goto(path);
    await page.evaluate(axe);
    assert.deepEqual(await page.evaluate(async () => (await globalThis.axe.run(document)).violations.map((v) => v.id)), [], path);
    assert.ok(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth), `${path} scrolls sideways`);
  }
});
