import assert from "node:assert/strict";
import { test } from "node:test";
import { open } from "../support/browser.mjs";

test("two dials side by side, judged by one key each", async (t) => {
  const page = await open(t);
  await page.goto("/book/corvane/KR-1");
  await page.click("text=Rank by comparing");
  await page.waitForURL("**/ranks");
  await page.selectOption("#slot", "crown");
  await page.click("form.filters[action$='/ranks'] button");
  await page.waitForURL(/slot=crown/);
  assert.equal(await page.locator("form.versus figure").count(), 2);
  const asked = await page.locator("form.versus figcaption").allTextContents();
  await page.locator("h1").click();
  await page.keyboard.press("f");
  await page.waitForURL(/slot=crown.*#pair/);
  assert.match(await page.textContent("#standings + table"), /Better than/);
  assert.notDeepEqual(await page.locator("form.versus figcaption").allTextContents(), asked, "another pair is asked next");
  await page.locator("h1").click();
  await page.keyboard.press("g");
  await page.waitForFunction(() => /2 judgements/.test(document.body.textContent ?? ""));
});
