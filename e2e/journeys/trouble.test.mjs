import assert from "node:assert/strict";
import { cpSync, mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { test } from "node:test";
import { open, refused } from "../support/browser.mjs";
import { serve } from "../support/server.mjs";

test("two windows on one record: the second is told, and nothing is lost", async (t) => {
  const one = await open(t);
  const two = await open(t, { errors: refused });
  await one.goto("/watches/w_demo06/change");
  await two.goto("/watches/w_demo06/change");
  await one.locator("#f-place").fill("window");
  await one.getByRole("button", { name: "Save" }).click();
  await one.waitForURL(/changed=/);
  await two.locator("#f-place").fill("tray 9");
  await two.getByRole("button", { name: "Save" }).click();
  await two.getByRole("alert").waitFor();
  assert.match(await two.getByRole("alert").innerText(), /Ines Vahlgren changed/);
  assert.match(await two.locator(".field:has(#f-place)").innerText(), /Theirs: window/);
  assert.equal(await two.locator("#f-place").inputValue(), "tray 9");
  await two.getByRole("button", { name: "Save" }).click();
  await two.waitForURL(/changed=/);
  assert.match(await two.locator(".place").innerText(), /tray 9/);
});

test("two windows add evidence to one watch: both stand", async (t) => {
  const [one, two] = [await open(t), await open(t)];
  for (const [page, mm] of [[one, "19.91"], [two, "19.93"]]) {
    await page.goto("/watches/w_demo07/record?kind=dimension");
    await page.locator("#f-what").selectOption("lug_width");
    await page.getByLabel("Millimetres").fill(mm);
  }
  await Promise.all([one, two].map((p) => p.getByRole("button", { name: "Save size" }).click()));
  await Promise.all([one, two].map((p) => p.waitForURL(/added=/)));
  await two.goto("/watches/w_demo07");
  const text = await two.locator(".taken").innerText();
  assert.match(text, /19\.91/);
  assert.match(text, /19\.93/);
});

test("the shop's computer goes in the middle of a save: nothing is lost or doubled", async (t) => {
  const dir = mkdtempSync(join(tmpdir(), "midcase-gone-"));
  t.after(() => rmSync(dir, { recursive: true, force: true }));
  cpSync(process.env.MIDCASE_SHOP, dir, { recursive: true });
  let server = await serve(process.env.MIDCASE_BIN, dir);
  t.after(() => server.stop());
  const page = await open(t, { at: server.url, errors: /ERR_CONNECTION_REFUSED|ERR_CONNECTION_RESET|ERR_EMPTY_RESPONSE/ });
  await page.goto("/watches/w_demo08/record?kind=claim");
  await page.getByLabel("About").fill("owner");
  await page.getByLabel("In the seller's words").fill("bought new by an aunt");
  await server.kill();
  await page.getByRole("button", { name: "Save claim" }).click();
  await page.locator(".unanswered").waitFor();
  assert.match(await page.locator(".unanswered").innerText(), /does not answer\. Nothing you typed is lost/);
  assert.equal(await page.getByLabel("In the seller's words").inputValue(), "bought new by an aunt");

  server = await serve(process.env.MIDCASE_BIN, dir, new URL(server.url).host);
  await page.reload(); // even a window that was closed brings it back
  assert.equal(await page.getByLabel("In the seller's words").inputValue(), "bought new by an aunt");
  await page.getByRole("button", { name: "Save claim" }).click();
  await page.waitForURL(/added=/);
  assert.equal(await page.locator(".log li", { hasText: "bought new by an aunt" }).count(), 1);
  await page.goto("/watches/w_demo08/record?kind=claim");
  assert.equal(await page.getByLabel("About").inputValue(), "", "a sent form is not offered again");
});

test("an answer lost on its way: sending again adds nothing twice", async (t) => {
  const page = await open(t, { errors: /ERR_FAILED/ });
  await page.goto("/watches/w_demo08/record?kind=claim");
  await page.getByLabel("About").fill("strap");
  await page.getByLabel("In the seller's words").fill("changed last year");
  await page.route("**/record", async (route) => {
    await route.fetch(); // the shop gets it, its answer does not arrive
    await route.abort();
  }, { times: 1 });
  await page.getByRole("button", { name: "Save claim" }).click();
  await page.locator(".unanswered").waitFor();
  await page.getByRole("button", { name: "Save claim" }).click();
  await page.waitForURL(/added=/);
  assert.equal(await page.locator(".log li", { hasText: "changed last year" }).count(), 1);
});

test("half-typed forms come back, and can be begun afresh", async (t) => {
  const page = await open(t);
  await page.goto("/take-in");
  await page.getByLabel("Maker").fill("Ostrel");
  await page.getByLabel("Note").fill("box is torn");
  await page.waitForFunction(() => Object.keys(localStorage).length > 0);
  await page.goto("/");
  await page.goto("/take-in");
  assert.equal(await page.getByLabel("Note").inputValue(), "box is torn");
  await page.getByRole("button", { name: "Start afresh" }).click();
  assert.equal(await page.getByLabel("Note").inputValue(), "");
  await page.reload();
  assert.equal(await page.getByLabel("Maker").inputValue(), "");
});

test("a large file shows how far it has come, and a lost line keeps the form", async (t) => {
  const page = await open(t, { errors: /status of 422|ERR_INTERNET_DISCONNECTED/ });
  await page.goto("/sales/import");
  const line = await page.context().newCDPSession(page);
  await line.send("Network.enable");
  await line.send("Network.emulateNetworkConditions", { offline: false, latency: 0, downloadThroughput: -1, uploadThroughput: 2_000_000 });
  await page.locator("#file").setInputFiles({ name: "much.csv", mimeType: "text/csv", buffer: Buffer.from("no sales here\n".repeat(200_000)) });
  await page.getByRole("button", { name: "Import" }).click();
  await page.locator(".sending progress").waitFor();
  assert.match(await page.locator(".sending").innerText(), /Sending|Sent/);
  await page.locator(".sending").waitFor({ state: "detached" });
  assert.match(await page.locator("main").innerText(), /much\.csv|sales file/);
  await line.send("Network.emulateNetworkConditions", { offline: true, latency: 0, downloadThroughput: -1, uploadThroughput: -1 });
  await page.locator("#file").setInputFiles({ name: "few.csv", mimeType: "text/csv", buffer: Buffer.from("date\n") });
  await page.getByRole("button", { name: "Import" }).click();
  assert.match(await page.getByRole("alert").filter({ hasText: "does not answer" }).innerText(), /Nothing you typed is lost/);
});
