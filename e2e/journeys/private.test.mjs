import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { test } from "node:test";
import { open, phone, url } from "../support/browser.mjs";

const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");

async function accessible(page) {
  await page.evaluate(axe);
  const found = await page.evaluate(() => window.axe.run({ runOnly: ["wcag2a", "wcag2aa"] }));
  assert.deepEqual(found.violations.map((v) => v.id + ": " + v.nodes[0].html), []);
}

test("a private link: made, opened by a stranger on a phone, counted, taken back", async (t) => {
  const page = await open(t);
  await page.goto("/watches/w_demo01");
  await page.getByText("More", { exact: true }).click();
  await page.getByRole("link", { name: "Private link to a client" }).click();
  await page.getByLabel("Client").selectOption({ index: 1 });
  await page.getByLabel("Language").selectOption("French");
  await page.getByRole("button", { name: "Make the link" }).click();
  const address = new URL(await page.locator("code.address").innerText());
  assert.equal(address.hostname, new URL(url).hostname);

  const client = await open(t, { at: url, errors: /status of (401|404|410)/, ...phone });
  await client.goto(address.pathname);
  assert.equal(await client.getAttribute("html", "lang"), "fr");
  await client.getByText("vous présente cette montre").waitFor();
  await accessible(client);
  const answer = await client.goto("/watches/w_demo01");
  assert.ok(!(await client.content()).includes("Evidence"), `the file is not shown: ${answer.status()}`);

  await page.goto("/watches/w_demo01");
  await page.locator("#opened a").click();
  await page.getByText("Opened once").waitFor();
  await accessible(page);
  await page.getByRole("button", { name: /^Take back/ }).click();
  await page.getByText("The address opens nothing any more").waitFor();
  await client.goto(address.pathname);
  await client.getByText("Cette page n’est plus ouverte").waitFor();
  await client.goto("about:blank");
  await page.goto("about:blank");
});

test("a presentation in German: the language is chosen, arrow keys lead on", async (t) => {
  const page = await open(t);
  await page.goto("/watches/w_demo03/show");
  await page.getByRole("link", { name: "Deutsch" }).click();
  await page.getByRole("heading", { name: "Was man wissen sollte" }).waitFor();
  assert.equal(await page.getAttribute("html", "lang"), "de");
  await accessible(page);
  const before = await page.evaluate(() => window.scrollY);
  await page.keyboard.press("ArrowRight");
  await page.waitForFunction((y) => window.scrollY > y + 100, before);
  await page.keyboard.press("ArrowLeft");
  await page.waitForFunction((y) => window.scrollY < y + 100, before);
  await page.getByText("Warum?").first().click();
  await page.goto("/book/corvane/KR-1/guide?language=it");
  await page.getByRole("heading", { name: "Storia" }).waitFor();
  await accessible(page);
  await page.goto("about:blank");
});
