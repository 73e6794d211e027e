import assert from "node:assert/strict";
import { spawnSync } from "node:child_process";
import { mkdirSync, statSync } from "node:fs";
import { test } from "node:test";
import { open, phone } from "../support/browser.mjs";

test("screens for the documents", { skip: process.env.MIDCASE_SCREENS !== "1" }, async (t) => {
  const folder = new URL("../../docs/screens/", import.meta.url).pathname;
  mkdirSync(folder, { recursive: true });
  const page = await open(t, { viewport: { width: 1200, height: 760 } });
  for (const [name, path] of [["watch", "/watches/w_demo03"], ["stock", "/"]]) {
    await page.goto(path, { waitUntil: "networkidle" });
    await page.screenshot({ path: `${folder}${name}.png` });
  }
  const small = await open(t, { ...phone, deviceScaleFactor: 1.5 });
  await small.goto("/counter?reference=Corvane+4410&serial=299298&condition=7&set=papers&asked=6500", { waitUntil: "networkidle" });
  await small.screenshot({ path: `${folder}counter.png` });
  const report = await page.request.get("/watches/w_demo03/report.pdf");
  const drawn = spawnSync("pdftoppm", ["-r", "64", "-png", "-f", "1", "-singlefile", "-", `${folder}report`], { input: await report.body() });
  assert.equal(drawn.status, 0, "pdftoppm of poppler-utils draws the report");
  for (const name of ["watch", "stock", "counter", "report"]) assert.ok(statSync(`${folder}${name}.png`).size < 300_000, `${name}.png is too large`);
});
