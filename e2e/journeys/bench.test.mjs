import assert from "node:assert/strict";
import { test } from "node:test";
import { open, refused, summary, takeIn } from "../support/browser.mjs";

test("a watch is taken in; a mistake is shown at its field; the opinion follows the evidence; undo", async (t) => {
  const page = await open(t, { errors: refused });
  await takeIn(page, { Maker: "Corvane", Reference: "KR-1", "Serial number": "299300", "Price asked": "6500 EUR" });
  const before = await summary(page);
  assert.match(before, /made between/i);

  await page.getByRole("link", { name: "Add evidence" }).click();
  await page.getByRole("link", { name: "Size", exact: true }).click();
  await page.getByLabel("Size", { exact: false }).first().selectOption("mid_case_diameter");
  await page.getByLabel("Millimetres").fill("36,x");
  await page.getByLabel("Instrument").fill("caliper 1");
  await page.getByRole("button", { name: "Save size" }).click();
  await page.locator(".field.wrong .error").waitFor();
  assert.match(await page.locator(".field:has(#f-mm) .error").innerText(), /36,x/);
  assert.equal(await page.getByLabel("Millimetres").inputValue(), "36,x", "what was typed is kept");
  assert.equal(await page.getByLabel("Instrument").inputValue(), "caliper 1");
  assert.equal(await page.evaluate(() => document.activeElement?.id), "f-mm", "the field in question has the focus");
  await page.getByLabel("Millimetres").fill("34.47");
  await page.getByRole("button", { name: "Save size" }).click();
  await page.waitForURL(/added=/);

  await page.getByRole("link", { name: "Add evidence" }).click();
  await page.getByRole("link", { name: "Part", exact: true }).click();
  await page.getByRole("link", { name: "hands", exact: true }).click();
  await page.getByText("Baton hands").click();
  await page.getByRole("button", { name: "Save part" }).click();
  await page.waitForURL(/added=/);
  const after = await summary(page);
  assert.notEqual(after, before, "the opinion did not change");

  await page.getByRole("button", { name: "Undo" }).click();
  await page.waitForURL(/withdrawn=/);
  assert.equal(await summary(page), before, "undo brings the opinion back");
  assert.match(await page.locator(".gone").innerText(), /hands/);
});

test("the planted bracelet is found from the stock in three steps", async (t) => {
  const page = await open(t);
  await page.goto("/");
  await page.getByRole("link", { name: /listed with a part that does not belong/ }).click();
  await page.getByRole("link", { name: /Corvane KR-2/ }).first().click();
  assert.match(await summary(page), /bracelet/);
  await page.locator(".drawing a", { hasText: "10" }).or(page.locator(".drawing a[href='#part-bracelet']")).first().click();
  const row = page.locator("#part-bracelet");
  assert.match(await row.locator(".verdict").innerText(), /does not belong|probably replaced/);
  assert.ok((await row.locator(".reasons li").count()) > 0, "no reason given");
});

test("a wrong weight is corrected: the old one stays on record", async (t) => {
  const page = await open(t);
  await page.goto("/watches/w_demo05");
  const fine = async () => (await page.locator("#metal + .para").innerText()).match(/[\d.]+ g/)?.[0];
  const before = await fine();
  await page.goto("/watches/w_demo05/record?kind=weighing");
  await page.getByLabel("What was weighed").selectOption("bracelet");
  await page.getByLabel("Grams").fill("60.05");
  await page.getByRole("button", { name: "Save weighing" }).click();
  await page.waitForURL(/added=/);
  assert.notEqual(await fine(), before, "the weight does not reach the metal");

  const item = page.locator(".log li", { hasText: "60.05" });
  await item.locator("summary").click();
  await item.getByLabel("Withdraw it, because").fill("read off the wrong line");
  await item.getByRole("button", { name: "Withdraw" }).click();
  await page.waitForURL(/withdrawn=/);
  assert.equal(await fine(), before);
  assert.match(await page.locator("#withdrawn + .log").innerText(), /60\.05[\s\S]*read off the wrong line/);
});

test("a figure is followed to its sale and to its entry in the book; the date range is explained", async (t) => {
  const page = await open(t);
  await page.goto("/watches/w_demo01");
  await page.locator("#comparables ~ table tbody tr a").first().click();
  await page.waitForURL(/\/sales\//);
  assert.match(await page.locator("h1").innerText(), /Sale of Corvane/);
  await page.goBack();

  await page.locator("#summary a").first().click();
  await page.getByText("Each piece of evidence as a table").click();
  const row = page.locator("#dating ~ details tbody tr", { hasText: /serial number \d+: about/ });
  assert.match(await row.innerText(), /%/);
  await row.locator("details.basis summary").click();
  await row.getByRole("link", { name: /book:/ }).click();
  await page.waitForURL(/\/book\/corvane\/KR-1#serial/);
  assert.ok(await page.evaluate(() => document.getElementById(decodeURIComponent(location.hash.slice(1))) !== null));
});

test("the report is a PDF", async (t) => {
  const page = await open(t);
  await page.goto("/watches/w_demo01");
  await page.locator("#ways summary").click();
  const href = await page.getByRole("link", { name: "Report (PDF)" }).getAttribute("href");
  const answer = await page.request.get(href);
  assert.equal((await answer.body()).subarray(0, 5).toString(), "%PDF-");
  assert.equal(answer.headers()["content-type"], "application/pdf");
});

test("a photograph of 12 megapixels", async (t) => {
  const page = await open(t);
  await page.goto("/watches/w_demo02/record?kind=photo");
  const base64 = await page.evaluate(async () => {
    const canvas = new OffscreenCanvas(4000, 3000);
    const ink = canvas.getContext("2d");
    for (let i = 0; i < 300; i++) {
      ink.fillStyle = `hsl(${(i * 37) % 360} 40% 50%)`;
      ink.fillRect((i * 997) % 4000, (i * 641) % 3000, 500, 400);
    }
    const blob = await canvas.convertToBlob({ type: "image/jpeg", quality: 0.9 });
    return await new Promise((done) => {
      const reader = new FileReader();
      reader.onload = () => done(reader.result.split(",")[1]);
      reader.readAsDataURL(blob);
    });
  });
  await page.getByLabel("Picture").setInputFiles({ name: "dial.jpg", mimeType: "image/jpeg", buffer: Buffer.from(base64, "base64") });
  await page.locator("img.preview").waitFor();
  await page.getByLabel("It shows").selectOption("dial");
  await page.getByRole("button", { name: "Save photograph" }).click();
  await page.waitForURL(/added=/);
  const shown = page.locator(".photos img").first();
  await shown.scrollIntoViewIfNeeded();
  await page.waitForFunction(() => document.querySelector(".photos img").complete);
  assert.equal(await shown.evaluate((i) => i.naturalWidth), 320);
});
