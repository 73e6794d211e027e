import assert from "node:assert/strict";
import { spawnSync } from "node:child_process";
import { copyFileSync, mkdirSync, mkdtempSync, readdirSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { test } from "node:test";
import { open } from "../support/browser.mjs";
import { serve } from "../support/server.mjs";

const kit = new URL("../kit/", import.meta.url).pathname;

test("a folder of pictures and files is chosen: tables are listed, pictures go on where they stood after the page was closed", async (t) => {
  const dir = mkdtempSync(join(tmpdir(), "midcase-folder-"));
  const shop = join(dir, "shop"), chosen = join(dir, "desk");
  const made = spawnSync(process.env.MIDCASE_BIN, ["demo", "--dir", shop, "--only-make", "--watches", "4"], { encoding: "utf8" });
  assert.equal(made.status, 0, made.stderr);
  const server = await serve(process.env.MIDCASE_BIN, shop);
  t.after(async () => {
    await server.stop();
    rmSync(dir, { recursive: true, force: true });
  });
  mkdirSync(join(chosen, "watch 1"), { recursive: true });
  const from = join(shop, "plain", "pictures");
  const drawn = readdirSync(from).filter((n) => n.endsWith(".jpg")).sort().slice(0, 9);
  drawn.forEach((name, i) => copyFileSync(join(from, name), join(chosen, i < 5 ? "watch 1" : "", name)));
  copyFileSync(join(kit, "sales.csv"), join(chosen, "sales.csv"));
  copyFileSync(join(kit, "rates.csv"), join(chosen, "rates.csv"));
  writeFileSync(join(chosen, "letter.pdf"), "%PDF-1.7 no table");
  writeFileSync(join(chosen, ".hidden"), "nothing");

  const page = await open(t, { at: server.url, errors: /status of 422|net::ERR_FAILED/ });
  // the line goes down after the fourth picture, and the page is closed
  let sent = 0;
  await page.route(/\/contact-sheets(\?|$)/, (route) => (route.request().method() === "POST" && sent++ >= 4 ? route.abort() : route.continue()));
  await page.goto("/bring-in");
  await page.locator("#folder").setInputFiles(chosen);
  await page.waitForSelector("text=waiting for the server");
  const listed = await page.locator("[data-found] li").allInnerTexts();
  assert.equal(listed.length, 3, listed.join("\n"));
  assert.ok(listed.some((l) => /^sales\.csv: read as sales/.test(l)), listed.join("\n"));
  assert.ok(listed.some((l) => /^rates\.csv: read as exchange rates/.test(l)), listed.join("\n"));
  assert.ok(listed.some((l) => /^letter\.pdf: this is a PDF, not a table/.test(l)), listed.join("\n"));
  await page.goto("about:blank");
  await page.unroute(/\/contact-sheets(\?|$)/);

  // chosen again, it goes on
  await page.goto("/bring-in");
  const bodies = [];
  page.on("request", (r) => r.method() === "POST" && /\/contact-sheets(\?|$)/.test(r.url()) && bodies.push(r.url()));
  await page.locator("#folder").setInputFiles(chosen);
  await page.waitForSelector("[data-found] >> text=a contact sheet");
  assert.equal(bodies.length, drawn.length - 4);
  assert.match(await page.locator("[role=status]").first().innerText(), /4 pictures on the sheet already; not sent again/);
  await page.getByRole("link", { name: "Pictures", exact: true }).last().click();
  await page.waitForURL(/\/contact-sheets\/\w+/);
  assert.equal(await page.locator("[data-shot]").count(), drawn.length);

  // kept, and not asked for a third time
  const groups = await page.locator("[data-group]").count();
  for (let i = 0; i < groups; i++) await page.locator("[data-group] .field input").nth(i).fill("1");
  await page.getByRole("button", { name: "Keep them" }).click();
  await page.waitForSelector("h1:has-text('Pictures kept')");
  await page.goto("/bring-in");
  await page.locator("#folder").setInputFiles(chosen);
  await page.waitForSelector(`text=Nothing new: ${drawn.length} pictures sorted before.`);

  // the rates of the folder are shown and added
  await page.locator("[data-found] a", { hasText: "rates.csv" }).click();
  await page.waitForSelector("h1:has-text('rates.csv')");
  await page.getByRole("button", { name: "Add these rates" }).click();
  await page.waitForURL(/\/rates\?added=\d+/);
  await page.goto("about:blank");
});
