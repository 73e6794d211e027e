import assert from "node:assert/strict";
import { test } from "node:test";
import { open, phone, summary } from "../support/browser.mjs";

/** tabTo presses Tab until the element has the focus. */
async function tabTo(page, selector, most = 80) {
  for (let i = 0; i < most; i++) {
    if (await page.evaluate((s) => document.activeElement?.matches(s) ?? false, selector)) return;
    await page.keyboard.press("Tab");
  }
  assert.fail(`the keyboard does not reach ${selector}`);
}

test("everything by keyboard: take in, add a part, open a reason", async (t) => {
  const page = await open(t);
  await page.goto("/");
  await page.keyboard.press("Tab");
  assert.equal(await page.evaluate(() => document.activeElement?.textContent), "To the page");
  await tabTo(page, "a[href='/take-in']");
  await page.keyboard.press("Enter");
  await page.waitForURL("**/take-in");
  await tabTo(page, "#f-maker");
  await page.keyboard.type("Corvane");
  await page.keyboard.press("Tab");
  await page.keyboard.type("KR-2");
  await page.keyboard.press("Tab");
  await page.keyboard.type("270300");
  await page.keyboard.press("Enter");
  await page.waitForURL(/\/watches\//);
  await tabTo(page, "a[href$='/record']");
  await page.keyboard.press("Enter");
  await page.waitForURL(/\/record/);
  await tabTo(page, "a[href*='kind=fitted']");
  await page.keyboard.press("Enter");
  await page.waitForURL(/kind=fitted/);
  await tabTo(page, "a[href*='slot=crown']");
  await page.keyboard.press("Enter");
  await page.waitForURL(/slot=crown/);
  await tabTo(page, "input[type=radio]");
  await page.keyboard.press("Space");
  await tabTo(page, "button[type=submit]:not(.plain)");
  await page.keyboard.press("Enter");
  await page.waitForURL(/added=/);
  await tabTo(page, "#part-crown summary", 120);
  const wasOpen = await page.locator("#part-crown details.why").evaluate((d) => d.open);
  await page.keyboard.press("Enter");
  assert.notEqual(await page.locator("#part-crown details.why").evaluate((d) => d.open), wasOpen);
});

test("without JavaScript: filter, take in, a mistake, evidence, undo", async (t) => {
  const page = await open(t, { javaScriptEnabled: false, errors: /status of 422/ });
  await page.goto("/");
  await page.locator("#q").fill("KR-8");
  await page.getByRole("button", { name: "Show" }).click();
  assert.match(await page.locator("#list").innerText(), /18 karat gold/);
  assert.doesNotMatch(await page.locator("#list").innerText(), /KR-1/);
  await page.goto("/take-in");
  await page.getByLabel("Maker").fill("Corvane");
  await page.getByRole("button", { name: "Take in" }).click();
  assert.match(await page.locator(".field:has(#f-reference) .error").innerText(), /reference/);
  assert.equal(await page.getByLabel("Maker").inputValue(), "Corvane");
  await page.getByLabel("Reference").fill("KR-1");
  await page.getByRole("button", { name: "Take in" }).click();
  const before = await summary(page);
  await page.goto(`${page.url().split("?")[0]}/record?kind=mark`);
  await page.getByLabel("Kind of mark").selectOption("serial");
  await page.getByLabel("As it reads").fill("299412");
  await page.getByRole("button", { name: "Save mark" }).click();
  assert.notEqual(await summary(page), before);
  await page.getByRole("button", { name: "Undo" }).click();
  assert.equal(await summary(page), before);
});

test("a counter offer on a phone, made a watch file with one thumb", async (t) => {
  const page = await open(t, phone);
  await page.goto("/");
  await page.getByRole("link", { name: "Counter offer" }).tap();
  await page.getByLabel("Reference").fill("Corvane KR-1");
  await page.getByLabel("Serial number or year").fill("299317");
  await page.getByLabel("Condition at a glance").selectOption({ index: 3 });
  await page.getByLabel("Comes as").selectOption("papers");
  await page.getByLabel("Price asked").fill("6500");
  const asked = Date.now();
  await page.getByRole("button", { name: "Answer" }).tap();
  await page.locator(".answer-now").waitFor();
  t.diagnostic(`answered in ${Date.now() - asked} ms`);
  const answer = page.locator(".answer-now");
  assert.match(await answer.innerText(), /Pay no more than\s+[\d,]+/);
  assert.match(await answer.innerText(), /Worth [\d,]+ to [\d,]+ EUR/);
  assert.ok((await answer.locator(".figure").boundingBox()).y < 400, "the answer is not on the first screen");
  assert.match(await page.locator(".looks").innerText(), /Look at the/);
  await page.getByRole("button", { name: "Keep it" }).tap();
  await page.waitForURL(/\/watches\//);
  assert.match(await page.locator(".taken").innerText(), /about 7 of 10 at a glance|at a glance/);
});

test("the stock follows the filters as they are typed, and back works", async (t) => {
  const page = await open(t);
  await page.goto("/");
  const all = await page.locator("table.stock tbody tr").count();
  await page.locator("#q").fill("KR-2");
  await page.waitForFunction((n) => document.querySelectorAll("table.stock tbody tr").length < n, all);
  assert.match(page.url(), /q=KR-2/);
  await page.getByRole("link", { name: "Value" }).click();
  assert.equal(await page.locator("th[aria-sort=descending]").innerText(), "Value ↓".replace(" ↓", ""));
  await page.locator("table.stock th[scope=row] a").first().click();
  await page.waitForURL(/\/watches\//);
  await page.goBack();
  assert.match(page.url(), /q=KR-2/);
});
