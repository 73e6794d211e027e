import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { test } from "node:test";
import { open, phone } from "../support/browser.mjs";

const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");

const plain = (s) => s.replace(/\s+/g, " ").trim();

/** row is a quarter of the table behind a curve: its name, figure, range and sales. */
async function row(curve, i) {
  return (await curve.locator("tbody tr").nth(i).locator("th, td").allTextContents()).map(plain);
}

/** agrees asks that the words under the curve are those of the row, and that the slider says the same. */
async function agrees(curve, i, unit) {
  const [quarter, figure, range, sales] = await row(curve, i);
  const says = plain(await curve.locator("output").innerText());
  assert.equal(says, `${quarter}: ${figure}${unit}; 90 % range ${range}${unit}; ${sales} ${sales === "1" ? "sale" : "sales"}`);
  assert.equal(plain(await curve.getByRole("slider").getAttribute("aria-valuetext")), says);
}

/** over is the place on the screen of a quarter of the curve, from 0 at the first to 1 at the last. */
async function over(curve, chart, part) {
  const svg = curve.locator(chart);
  await svg.scrollIntoViewIfNeeded();
  const box = await svg.boundingBox();
  const [left, right, width] = await svg.evaluate((s) => [Number(s.dataset.left), Number(s.dataset.right), s.viewBox.baseVal.width]);
  return [box.x + (box.width * (left + part * (right - left))) / width, box.y + box.height / 2];
}

test("a curve is read by pointer and by keyboard, with the figures of its table", async (t) => {
  const page = await open(t, { viewport: { width: 1280, height: 900 } });
  await page.goto("/market");
  for (const [name, unit] of [["Price index of", ""], ["Premium of", " %"]]) {
    const curve = page.getByRole("region", { name });
    const count = await curve.locator("tbody tr").count();
    assert.ok(count > 8, `${count} quarters`);
    await agrees(curve, count - 1, unit);
    const tall = (await curve.boundingBox()).height;
    const at = Math.floor(count / 3);
    await page.mouse.move(...(await over(curve, "svg.broad", at / (count - 1))));
    await agrees(curve, at, unit);
    const { guide, here, foot, top, low, high, value } = await curve.locator("svg.broad").evaluate((s, i) => ({
      ...Object.fromEntries(Object.entries(s.dataset).map(([k, v]) => [k, Number(v)])),
      guide: s.querySelector(".guide").getAttribute("d"), here: Number(s.querySelector(".here").getAttribute("cy")),
      value: Number(s.closest("section").querySelectorAll("tbody tr")[i].dataset.value),
    }), at);
    assert.match(guide, /^M[\d.]+ [\d.]+V[\d.]+$/);
    assert.ok(Math.abs(here - (foot + ((value - low) / (high - low)) * (top - foot))) < 0.01, "the dot lies on the curve");
    await curve.getByRole("slider", { name: /^Quarter/ }).focus();
    for (const [key, to] of [["ArrowRight", at + 1], ["ArrowLeft", at], ["Home", 0], ["End", count - 1]]) {
      await page.keyboard.press(key);
      await agrees(curve, to, unit);
    }
    assert.equal((await curve.boundingBox()).height, tall, "nothing moves");
  }
});

test("on a phone a finger reads the curve; axe-core finds nothing, light or dark", async (t) => {
  const page = await open(t, phone);
  await page.goto("/market");
  const curve = page.getByRole("region", { name: "Price index of" });
  const tall = (await curve.boundingBox()).height;
  await page.touchscreen.tap(...(await over(curve, "svg.narrow", 0)));
  await agrees(curve, 0, "");
  assert.equal((await curve.boundingBox()).height, tall, "nothing moves");
  assert.ok((await page.evaluate(() => document.documentElement.scrollWidth - innerWidth)) <= 0, "too wide");
  await page.evaluate(axe);
  for (const [colorScheme, run] of [["light", {}], ["dark", { runOnly: ["color-contrast"] }]]) {
    await page.emulateMedia({ colorScheme });
    assert.deepEqual(await page.evaluate(async (o) => (await globalThis.axe.run(document, o)).violations.map((v) => v.id), run), [], colorScheme);
  }
});

test("without a script there is the drawing and the table, and no slider", async (t) => {
  const page = await open(t, { javaScriptEnabled: false });
  await page.goto("/market");
  const curve = page.getByRole("region", { name: "Price index of" });
  await curve.getByRole("img").waitFor();
  assert.equal(await page.getByRole("slider").count(), 0);
  await curve.getByText("The figures as a table").click();
  assert.ok(await curve.getByRole("table").isVisible());
});
