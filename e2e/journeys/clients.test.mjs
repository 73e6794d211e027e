import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { test } from "node:test";
import { open, phone, refused } from "../support/browser.mjs";

const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const pages = ["/clients", "/clients?q=nobody", "/clients/new", "/clients/c_01", "/clients/c_02/change", "/clients/c_01/wants/1", "/clients/c_01/erase", "/client-files", "/watches/w_demo01/matches", "/calendar"];

test("from the first call to the first refusal, without a script", async (t) => {
  const page = await open(t, { javaScriptEnabled: false, errors: refused });
  await page.goto("/clients");
  await page.getByRole("link", { name: "New client" }).click();
  await page.getByLabel(/^Name/).fill("Wanda Birkhall");
  await page.getByLabel("E-mail", { exact: true }).fill("wanda@mail.example");
  await page.getByLabel("Offers of watches by E-mail").selectOption("allowed");
  await page.getByLabel("How you know").fill("in writing");
  await page.getByRole("button", { name: "Save" }).click();
  await page.waitForURL(/clients\/c_/);
  await page.getByRole("link", { name: "Add what they want" }).first().click();
  await page.getByLabel("Maker").fill("Corvane");
  await page.getByLabel("Reference").fill("KR-1");
  await page.getByLabel("Budget").fill("15000");
  await page.getByLabel("Call me first").check();
  await page.getByRole("button", { name: "Save" }).click();
  await page.getByRole("status").filter({ hasText: /in stock match/ }).waitFor();

  // The watch names her first; she is promised it, and the calendar knows until when.
  await page.goto("/watches/w_demo01");
  await page.locator("#wanted a").click();
  await page.getByRole("row", { name: /Wanda Birkhall call first/ }).waitFor();
  await page.getByRole("link", { name: "Record what happened with Wanda Birkhall" }).click();
  const until = new Date(Date.now() + 5 * 86_400_000).toISOString().slice(0, 10);
  await page.getByLabel("What happened", { exact: true }).selectOption("First refusal promised");
  await page.getByRole("button", { name: "Save", exact: true }).click();
  await page.getByText("Enter the last day of the promise").waitFor();
  await page.getByLabel("Until", { exact: true }).fill(until);
  await page.getByRole("button", { name: "Save", exact: true }).click();
  await page.getByText("has first refusal at").waitFor();
  await page.goto("/calendar");
  await page.getByRole("row", { name: /Promise ends Wanda Birkhall/i }).waitFor();
});

test("the list follows what is typed, and a file is looked at before it is written", async (t) => {
  const page = await open(t, { errors: refused });
  await page.goto("/clients");
  await page.getByRole("searchbox", { name: /Name, address/ }).fill("brightmoor");
  await page.getByText("1 client", { exact: true }).waitFor();
  assert.match(page.url(), /clients\?q=brightmoor/);

  await page.getByRole("link", { name: "Import" }).click();
  await page.getByLabel("File").setInputFiles({ name: "fair.csv", mimeType: "text/csv", buffer: Buffer.from("Kunde;Mail\nJorun Askvik;jorun@mail.example\nA. Brightmoor;ansel.brightmoor@mail.example\n") });
  await page.getByRole("button", { name: "Look at it" }).click();
  await page.getByLabel("Name", { exact: true }).selectOption("Kunde");
  await page.getByLabel("Email", { exact: true }).selectOption("Mail");
  await page.getByRole("button", { name: "Read it again so" }).click();
  await page.getByText("1 new one, 1 looks like a client on record").waitFor();
  await page.getByRole("cell", { name: "the same e-mail address" }).waitFor();
  await page.getByRole("button", { name: "Add the 1 new one, leave duplicates out" }).click();
  await page.getByText("Imported: 1 new, 0 merged").waitFor();
});

test("axe-core finds nothing on the pages of clients, and none scrolls sideways", async (t) => {
  const page = await open(t, { ...phone, reducedMotion: "reduce" });
  for (const path of pages) {
    await page.goto(path);
    await page.evaluate(() => document.querySelectorAll("details").forEach((d) => (d.open = true)));
    assert.ok((await page.evaluate(() => document.documentElement.scrollWidth - innerWidth)) <= 0, `${path} scrolls sideways`);
    await page.evaluate(axe);
    const found = await page.evaluate(async () => {
      const r = await globalThis.axe.run(document, { runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"], resultTypes: ["violations"] });
      return r.violations.map((v) => `${v.id}: ${v.nodes.map((n) => n.html.slice(0, 140)).slice(0, 3).join(" | ")}`);
    });
    assert.deepEqual(found, [], path);
  }
});
