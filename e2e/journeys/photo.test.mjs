import assert from "node:assert/strict";
import { test } from "node:test";
import { open, phone, refused, takeIn } from "../support/browser.mjs";

// A drawn picture: a printed square of 60 mm at 12 px a mm, its upper left corner at
// (140, 40), and a dark disc of 36 mm in its middle.
const wide = 1000, tall = 800, px = 12, middle = [500, 400];
const corners = [[140, 40], [860, 40], [860, 760], [140, 760]];
const rim = [0.3, 1.4, 2.6, 3.9, 5.2].map((a) => [middle[0] + 18 * px * Math.cos(a), middle[1] + 18 * px * Math.sin(a)]);
const typed = (points) => points.map(([x, y]) => `${x.toFixed(1)} ${y.toFixed(1)}`).join("; ");

/** picture draws the picture in the browser, as a PNG. */
async function picture(page) {
  const url = await page.evaluate(([w, h, k, [x, y]]) => {
    const c = document.createElement("canvas");
    [c.width, c.height] = [w, h];
    const g = c.getContext("2d");
    g.fillStyle = "#e9e6df";
    g.fillRect(0, 0, w, h);
    g.fillStyle = "#202226";
    g.fillRect(x - 30 * k, y - 30 * k, 60 * k, 60 * k);
    g.fillStyle = "#f4f2ec";
    g.fillRect(x - 29 * k, y - 29 * k, 58 * k, 58 * k);
    g.fillStyle = "#3a3d44";
    g.arc(x, y, 18 * k, 0, 7);
    g.fill();
    return c.toDataURL("image/png");
  }, [wide, tall, px, middle]);
  return { name: "front.png", mimeType: "image/png", buffer: Buffer.from(url.split(",")[1], "base64") };
}

/** bench leaves the page on the bench of a picture of a watch just taken in. */
async function bench(page, of) {
  await takeIn(page, { Maker: "Corvane", Reference: "KR-1" });
  const file = page.url().split("?")[0];
  await page.goto(`${file}/record?kind=photo`);
  await page.getByLabel(/^Picture( \(needed\))?$/).setInputFiles(of);
  await page.getByLabel("It shows").selectOption("front");
  await page.getByRole("button", { name: "Save photograph" }).click();
  await page.waitForURL(/added=/);
  await page.getByRole("link", { name: "Measure in the picture: front" }).click();
  await page.waitForURL(/bench/);
  return file;
}

test("points are picked in a picture, a size is measured, added and counted", async (t) => {
  const page = await open(t);
  await page.goto("/");
  const file = await bench(page, await picture(page));
  const stage = page.locator(".stage");
  // where the picture lies on the screen now; the page may have moved meanwhile
  const click = async (point) => {
    const box = await stage.evaluate((e) => {
      const r = e.getBoundingClientRect();
      return { x: r.x + e.clientLeft, y: r.y + e.clientTop, width: e.clientWidth, height: e.clientHeight };
    });
    const k = Math.min(box.width / wide, box.height / tall);
    await page.mouse.click(box.x + (box.width - wide * k) / 2 + point[0] * k, box.y + (box.height - tall * k) / 2 + point[1] * k);
  };
  for (const c of corners) await click(c); // the first field is in hand already
  await page.getByLabel("Its size, mm").fill("60");
  await page.getByLabel("Size 1", { exact: true }).selectOption("mid_case_diameter");
  await page.getByLabel("Points 1", { exact: true }).click();
  for (const p of rim) await click(p);
  await page.getByRole("button", { name: "Measure" }).click();
  const answer = page.getByRole("region", { name: "Answer" });
  await answer.getByRole("heading", { name: "What was measured" }).waitFor();
  const figure = Number(/mid-case diameter[\s\S]*?(\d\d\.\d+)/.exec(await answer.innerText())?.[1]);
  assert.ok(Math.abs(figure - 36) < 0.1, `measured ${figure} mm for 36`);
  assert.match(await answer.innerText(), /edge found on \d+ % of the way round/);
  assert.equal(await stage.locator("ellipse.got").count(), 2, "what was found is drawn, in two strokes");
  await answer.getByRole("button", { name: "Add mid-case diameter" }).click();
  await page.waitForURL(/added=/);
  await page.getByText("Added to the file: 1 item").waitFor();
  await page.goto(file);
  assert.match(await page.locator("#measured + table").innerText(), /Chance that material was taken off/);
});

test("the picture is pointed at by keyboard, and what is wrong stands at its field", async (t) => {
  const page = await open(t, { errors: refused });
  await page.goto("/");
  await bench(page, await picture(page));
  await page.getByLabel("Points 1", { exact: true }).focus();
  await page.locator(".stage").focus();
  await page.keyboard.press("ArrowLeft");
  await page.keyboard.press("Enter");
  await page.keyboard.press("+");
  await page.keyboard.press("ArrowRight");
  await page.keyboard.press("Enter");
  assert.match(await page.getByLabel("Points 1", { exact: true }).inputValue(), /^[\d.]+ [\d.]+; [\d.]+ [\d.]+$/);
  await page.getByRole("button", { name: "Measure" }).click();
  await page.getByText(/Give its size in millimetres/).waitFor();
  assert.match(await page.getByLabel("Points 1", { exact: true }).inputValue(), /;/, "what was picked is still there");
});

test("without a script the coordinates are typed in, on a phone too", async (t) => {
  const draws = await open(t);
  await draws.goto("/");
  const of = await picture(draws);
  const page = await open(t, { ...phone, javaScriptEnabled: false });
  await bench(page, of);
  await page.getByLabel("Where it lies").fill(typed(corners));
  await page.getByLabel("Its size, mm").fill("60");
  await page.getByLabel("Size 1", { exact: true }).selectOption("mid_case_diameter");
  await page.getByLabel("Points 1", { exact: true }).fill(typed(rim));
  await page.getByRole("button", { name: "Measure" }).click();
  assert.match(await page.getByRole("region", { name: "Answer" }).innerText(), /mid-case diameter[\s\S]*3[56]\.\d/);
});
