import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { test } from "node:test";
import { open, phone, refused, takeIn } from "../support/browser.mjs";

const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");

const pages = [
  "/watches/w_demo01/life", "/watches/w_demo01/life?act=sell", "/watches/w_demo04/life?act=share", "/watches/w_demo06/life?act=work", "/watches/w_demo01/deal", "/ledger", "/ledger/journal", "/ledger/due",
  "/ledger/stock-book", "/ledger/vat", "/ledger/profit", "/ledger/ageing", "/ledger/enter?kind=exchange", "/stock/whole", "/settings/shop?example=2",
];

async function openAll(page) {
  await page.locator("main form[data-keep] button[type=submit]").waitFor();
  for (const group of await page.locator("main form details").all()) {
    if (!(await group.evaluate((e) => e.open))) await group.locator("summary").click();
  }
}

async function step(page, act, fields) {
  await page.getByRole("list", { name: "Steps" }).getByRole("link", { name: act, exact: true }).click();
  await openAll(page);
  for (const [label, value] of Object.entries(fields)) {
    const field = page.getByLabel(new RegExp(`^${label}( \\(needed\\))?$`));
    if (value === true) await field.check();
    else if (await field.evaluate((e) => e.tagName === "SELECT")) await field.selectOption(value);
    else await field.fill(value);
  }
  await page.locator("main form[data-keep] button[type=submit]").click();
}

for (const script of [true, false]) {
  test(`a watch is bought, worked on, listed, sold and the sale undone, ${script ? "with" : "without"} a script`, async (t) => {
    const page = await open(t, { javaScriptEnabled: script, errors: refused });
    const who = script ? "Selma Lund" : "Sverre Lund";
    await takeIn(page, { Maker: "Corvane", Reference: "KR-2" });
    await page.getByRole("link", { name: "Buy, consign or decline" }).click();
    await step(page, "Buy", { "Price paid": "much", Seller: who });
    await page.getByText("Nothing was booked").waitFor();
    assert.match(await page.locator("#e-amount").innerText(), /an amount above zero/);
    assert.equal(await page.getByLabel("Seller").inputValue(), who);
    await page.getByLabel("Price paid").fill("5000");
    await openAll(page);
    await page.getByLabel("Add as a new client").check();
    await page.getByLabel("Identity paper seen").fill("passport");
    await page.getByLabel("Its number").fill("X1");
    await page.getByRole("button", { name: "Book the purchase" }).click();
    await page.getByRole("status").getByText("Bought").waitFor();
    await step(page, "Book work", { "What was done": "service", Cost: "400", Workshop: who });
    await page.getByRole("status").getByText("Service").waitFor();
    assert.match(await page.locator(".lead").innerText(), /It has cost 5,400\sEUR so far/);
    await step(page, "List", { "Our price": "7900" });
    await page.getByRole("status").getByText("Listed").waitFor();
    await step(page, "Sell", { Price: "7500", Buyer: `Bruno ${who}`, "Add as a new client": true, Route: "private client" });
    await page.getByRole("status").getByText("Sold").waitFor();
    const money = await page.getByRole("region", { name: "Money" }).innerText();
    assert.match(money, /Sold for\s+7,500/);
    assert.match(money, /Tax on it\s+416.67/); // one sixth of 2,500
    await page.getByRole("status").getByRole("button", { name: "Undo" }).click();
    await page.getByRole("status").getByText("Undone: back to listed").waitFor();
    await page.getByRole("link", { name: /entries in the ledger/ }).click();
    await page.locator("table.journal").waitFor();
    assert.equal(await page.locator("table.journal tbody").count(), 4);
    assert.match(await page.locator("table.journal").innerText(), /Counter[\s\S]*entered by mistake[\s\S]*Sale/);
  });
}

test("axe-core finds nothing on the pages of money, and none scrolls sideways", async (t) => {
  const page = await open(t, { ...phone, reducedMotion: "reduce" });
  for (const path of pages) {
    await page.goto(path);
    await page.evaluate(() => document.querySelectorAll("details").forEach((d) => (d.open = true)));
    const wide = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
    assert.ok(wide <= 0, `${path} is ${wide} px too wide`);
    await page.evaluate(axe);
    const found = await page.evaluate(async () => {
      const r = await globalThis.axe.run(document, { runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"], resultTypes: ["violations"] });
      return r.violations.map((v) => `${v.id}: ${v.nodes.map((n) => n.html.slice(0, 140)).slice(0, 3).join(" | ")}`);
    });
    assert.deepEqual(found, [], path);
  }
});
