import assert from "node:assert/strict";
import { test } from "node:test";
import { open, phone } from "../support/browser.mjs";

test("an example seen at a fair, on the phone: number, version, save", async (t) => {
  const page = await open(t, phone);
  await page.goto("/book/corvane/KR-1");
  await page.click("a[href^='/examples/new']");
  await page.waitForURL("**/examples/new**");
  assert.equal(await page.inputValue("#f-reference"), "Corvane KR-1");
  await page.fill("#f-serial", "219 777");
  await page.selectOption("#f-bezel", "bezel-flat");
  await page.selectOption("#f-place", "fair");
  await page.click("form.ask button");
  await page.waitForURL(/saved=/);
  assert.match(await page.textContent(".notice"), /Corvane KR-1 219 777/);
  assert.equal(await page.inputValue("#f-place"), "fair", "the next one is of the same fair");
  assert.ok(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth), "the page is as wide as the phone");
  await page.click(".notice a");
  await page.waitForURL("**/book/corvane/KR-1/examples");
  assert.match(await page.textContent("#records + table"), /219 777/);
  assert.ok(await page.isVisible("svg.chart.narrow"), "the line of time is drawn for the phone");
});
