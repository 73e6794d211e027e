import assert from "node:assert/strict";
import { cpSync, mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { test } from "node:test";
import { open, phone, refused, summary } from "../support/browser.mjs";
import { serve } from "../support/server.mjs";

test("a watch beside the book, then beside another, on a phone", async (t) => {
  const page = await open(t, phone);
  await page.goto("/watches/w_demo03");
  await page.locator("#ways summary").tap();
  await page.getByRole("link", { name: "Side by side" }).tap();
  await page.waitForURL(/compare/);
  const first = page.locator("table.sided").first();
  assert.match(await first.innerText(), /Bracelet/);
  await page.getByLabel("or a watch by number").fill("1");
  await page.getByRole("button", { name: "Compare" }).tap();
  await page.waitForURL(/find=1/);
  assert.match(await page.locator(".sides").first().innerText(), /File 1/);
  const [feature, a, b] = await Promise.all(["th", "td >> nth=0", "td >> nth=1"].map((s) => first.locator("tbody tr").first().locator(s).boundingBox()));
  assert.ok(a.x < b.x && Math.abs(a.y - b.y) < 2 && feature.y < a.y, "the two do not stand beside each other");
});

test("the book is edited: a mistake is shown at its line, the effect before saving, an earlier version comes back", async (t) => {
  const dir = mkdtempSync(join(tmpdir(), "midcase-book-"));
  t.after(() => rmSync(dir, { recursive: true, force: true }));
  cpSync(process.env.MIDCASE_SHOP, dir, { recursive: true });
  const server = await serve(process.env.MIDCASE_BIN, dir);
  t.after(() => server.stop());
  const page = await open(t, { at: server.url, errors: refused });
  const other = await open(t, { at: server.url, errors: refused });
  await page.goto("/watches/w_demo03");
  const before = await summary(page);

  for (const p of [page, other]) {
    await p.goto("/book/corvane/KR-2");
    await p.getByRole("link", { name: "its text" }).click();
    await p.waitForURL(/book-edit/);
  }
  const text = page.getByLabel("Text (YAML)");
  const was = await text.inputValue();
  await text.fill(was.replace("family:", "famly:"));
  await page.locator("#why").fill("a dated card");
  await page.getByRole("button", { name: "Save", exact: true }).click();
  await page.getByRole("link", { name: "Line 2" }).first().click();
  assert.equal(await text.evaluate((f) => f.value.slice(f.selectionStart, f.selectionEnd).trim()), "famly: plenaire");

  await text.fill(was.replace('made: "1965-03/1970-12"', 'made: "1966-02/1970-12" # a card'));
  await page.getByRole("button", { name: "Check", exact: true }).click();
  await page.getByText(/the opinion changes for/).waitFor();
  await page.getByRole("button", { name: "Save", exact: true }).click();
  await page.waitForURL(/saved=1/);
  await page.goto("/watches/w_demo03");
  assert.notEqual(await summary(page), before);

  await other.getByLabel("Text (YAML)").fill(`${was}\n    # mine`);
  await other.locator("#why").fill("another card");
  await other.getByRole("button", { name: "Save", exact: true }).click();
  await other.getByRole("alert").waitFor();
  assert.match(await other.getByRole("alert").innerText(), /Somebody else changed this file[\s\S]*# a card/);
  assert.match(await other.getByLabel("Text (YAML)").inputValue(), /# mine/);

  await page.goto("/book-versions/corvane");
  await page.getByRole("link", { name: "show version 1" }).click();
  await page.getByLabel(/Reason to restore/).fill("the card was of another watch");
  await page.getByRole("button", { name: "Restore version 1" }).click();
  await page.waitForURL(/book-versions\/corvane$/);
  await page.goto("/watches/w_demo03");
  assert.equal(await summary(page), before);
});

test("several watches change their place at once, and go back", async (t) => {
  const page = await open(t);
  await page.goto("/");
  for (const n of [7, 8]) await page.getByLabel(`Choose no. ${n}`).check();
  const place = await page.locator("tr", { has: page.getByLabel("Choose no. 7") }).locator(".state small").innerText();
  await page.getByText("Change several watches").click();
  await page.locator("#bulk-place").fill("fair case");
  await page.getByRole("button", { name: "Set place" }).click();
  await page.getByText("2 changed").waitFor();
  assert.match(await page.locator("table.stack").innerText(), /fair case[\s\S]*fair case/);
  await page.getByRole("button", { name: "Undo" }).click();
  await page.locator("table.stack td", { hasText: place }).first().waitFor();
});

test("one key is enough, unless somebody types", async (t) => {
  const page = await open(t);
  await page.goto("/watches/w_demo02");
  await page.keyboard.press("a");
  await page.waitForURL(/record/);
  await page.keyboard.press("s");
  await page.keyboard.type("tch");
  assert.equal(await page.getByLabel("Search the stock").inputValue(), "tch");
  await page.goto("/terms#keys");
  await page.getByLabel("Single keys on this device").uncheck();
  await page.goto("/");
  await page.keyboard.press("c");
  await page.waitForTimeout(200);
  assert.equal(new URL(page.url()).pathname, "/");
});

test("figures are shown and read as the browser's country writes them", async (t) => {
  const page = await open(t, { locale: "de-DE", errors: refused });
  await page.goto("/watches/w_demo01");
  assert.match(await summary(page), /\d\.\d{3}/);
  await page.goto("/watches/w_demo01/record?kind=dimension");
  await page.locator("#f-what").selectOption("lug_width");
  await page.getByLabel("Millimetres").fill("19.975");
  await page.getByRole("button", { name: "Save size" }).click();
  await page.locator(".field.wrong .error").waitFor();
  assert.match(await page.locator(".field.wrong .error").innerText(), /two ways: as 19,975 or as 19975/);
  await page.getByLabel("Millimetres").fill("19,97");
  await page.getByRole("button", { name: "Save size" }).click();
  await page.waitForURL(/added=/);
  assert.match(await page.locator("#measured ~ table").first().innerText(), /19,9/);
});
