import assert from "node:assert/strict";
import { spawnSync } from "node:child_process";
import { mkdirSync, statSync } from "node:fs";
import { test } from "node:test";
import { open, phone } from "../support/browser.mjs";

test("screens for the documents", { skip: process.env.MIDCASE_SCREENS !== "1" }, async (t) => {
  const folder = new URL("../../docs/screens/", import.meta.url).pathname;
  mkdirSync(folder, { recursive: true });
  const page = await open(t, { viewport: { width: 1200, height: 760 } });
  await page.goto("/watches/w_demo03");
  const bench = await page.locator('a[href$="/bench"]').nth(2).getAttribute("href");
  const pages = [
    ["watch", "/watches/w_demo03"], ["stock", "/"], ["photo", bench], ["deal", "/watches/w_demo01/deal"], ["life", "/watches/w_demo01/life"],
    ["client", "/clients/c_03"], ["ledger", "/ledger"], ["market", "/market"], ["book", "/book/corvane/KR-1"], ["beside", "/compare?a=w_demo01&b=w_demo02"],
  ];
  for (const [name, path] of pages) {
    await page.goto(path, { waitUntil: "networkidle" });
    await page.screenshot({ path: `${folder}${name}.png` });
  }
  const small = await open(t, { ...phone, deviceScaleFactor: 1.5 });
  await small.goto("/counter?reference=Corvane+KR-1&serial=299298&condition=7&set=papers&asked=6500", { waitUntil: "networkidle" });
  await small.screenshot({ path: `${folder}counter.png` });
  const report = await page.request.get("/watches/w_demo03/report.pdf");
  const drawn = spawnSync("pdftoppm", ["-r", "64", "-png", "-f", "1", "-singlefile", "-", `${folder}report`], { input: await report.body() });
  assert.equal(drawn.status, 0, "pdftoppm of poppler-utils draws the report");
  for (const name of [...pages.map(([n]) => n), "counter", "report"]) assert.ok(statSync(`${folder}${name}.png`).size < 450_000, `${name}.png is too large`);
});
