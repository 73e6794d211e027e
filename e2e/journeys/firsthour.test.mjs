import assert from "node:assert/strict";
import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { test } from "node:test";
import { open, refused, summary } from "../support/browser.mjs";
import { counting } from "../support/keystrokes.mjs";
import { serve } from "../support/server.mjs";

const kit = new URL("../kit/", import.meta.url).pathname;

/** empty serves a shop that nothing was ever done in. */
async function empty(t) {
  const dir = mkdtempSync(join(tmpdir(), "midcase-first-"));
  const server = await serve(process.env.MIDCASE_BIN, join(dir, "shop"));
  t.after(async () => {
    await server.stop();
    rmSync(dir, { recursive: true, force: true });
  });
  return { server, shop: join(dir, "shop") };
}

test("the first hour: an empty shop in dollars, a notebook, a stock list, past sales, a value, an offer, a date, a paper", async (t) => {
  const { server } = await empty(t);
  const page = await open(t, { at: server.url, errors: refused });
  const hand = counting(page);
  const press = (name) => hand.tap(page.getByRole("button", { name, exact: true }));
  const told = [];
  const reached = (what) => told.push(`${what}: ${hand.actions} actions, ${Math.round(hand.seconds)} s`);

  await page.goto("/start");
  await page.getByLabel("Country").selectOption("US");
  await page.getByLabel("Base currency").selectOption("USD");
  await page.getByLabel("Name").fill("Hollis & Wake");
  await hand.tap(page.getByRole("button", { name: "Save" }));
  await page.waitForURL((u) => !u.pathname.startsWith("/start"));
  reached("three questions");

  // the notebook, dropped like any other file
  await page.goto("/bring-in");
  await page.locator("#file").setInputFiles(kit + "notebook.txt");
  await press("Read");
  await page.waitForSelector("text=Understood");
  await press("Save to the book");
  await page.waitForURL(/\/book\/tarnholt/);
  assert.ok((await page.locator("table.book tbody tr").count()) >= 4, "fewer than four references");
  reached("the book from a notebook");

  // exchange rates that sales in other currencies need, in the shape that central banks publish
  await page.goto("/rates");
  await page.locator("form[action='/rates/file'] input[type=file]").setInputFiles(kit + "rates.csv");
  await hand.tap(page.locator("form[action='/rates/file'] button"));
  await page.waitForSelector("[role=status]");

  for (const [file, as] of [["sales.csv", "sales"], ["stock.xlsx", "stock"]]) {
    await page.goto("/bring-in");
    await page.locator("#file").setInputFiles(kit + file);
    await press("Read");
    await page.waitForURL(/\/bring-in\/.*as=/);
    assert.match(page.url(), new RegExp(`as=${as}`));
    const questions = page.locator("select[id^='a-'], input[id^='a-']");
    for (let i = 0; i < (await questions.count()); i++) {
      const q = questions.nth(i);
      if ((await q.evaluate((e) => e.tagName)) === "SELECT") {
        hand.key("Tab");
        await q.selectOption({ index: 1 });
      }
    }
    const again = page.waitForResponse((r) => r.request().method() === "POST");
    await press("Read again with these answers");
    await again;
    await page.waitForSelector("text=Your answers");
    await hand.tap(page.getByRole("button", { name: /^Bring in/ }));
    await page.waitForURL(/batches/);
    reached(as);
  }

  await page.goto("/");
  assert.ok((await page.locator("table.stock tbody tr").count()) >= 30, "fewer than thirty watches are listed");

  // the first value: a watch of the list, its price with a range, its date from the notebook's numbers
  const watches = await page.request.get("/api/watches").then((r) => r.json());
  const one = watches.find((w) => w.reference === "K-46" && w.state !== "sold" && w.serial);
  await hand.tap(page.locator(`table.stock a[href='/watches/${one.id}']`).first());
  await page.waitForURL(/\/watches\//);
  assert.match(await summary(page), /Made between \w+ 19\d\d and .*worth [\d,]+ USD \([\d,]+–[\d,]+\)/);
  reached("the first value, with a date");
  assert.ok(hand.seconds < 600, `the first value took ${hand.seconds} s`);

  await page.goto("/counter");
  await hand.tap(page.getByLabel("In one line"));
  await hand.type("K-46 black dial 62500 asks 5200");
  await hand.key("Enter");
  assert.match(await page.locator(".answer-now").innerText(), /Pay no more than\s+[\d,]+\sUSD[^]*about April\s1966/);
  reached("a counter offer");

  // a maker that only the stock names, filled in field by field
  await page.goto("/book-lacks");
  await hand.tap(page.locator("li", { hasText: "MV 340" }).getByRole("link", { name: "fill it in" }));
  await page.waitForURL(/book-write/);
  assert.equal(await page.getByLabel("Maker", { exact: true }).inputValue(), "Pellisard");
  assert.equal(await page.getByLabel("Reference", { exact: true }).inputValue(), "MV 340");
  const fill = async (name, text) => {
    await hand.tap(page.locator(`[name="${name}"]`));
    await hand.type(text);
  };
  await fill("made", "1966 to 1975");
  await fill("family", "dress watch");
  await fill("parts.dial.0.name", "Silver, applied figures");
  await fill("parts.dial.0.when", "until about 1970");
  await fill("parts.dial.1.name", "Blue, applied figures");
  await fill("parts.dial.1.when", "from early 1970, rare at first");
  await fill("numbers.0.0.number", "about 30,000");
  await fill("numbers.0.0.when", "early 1966");
  await fill("numbers.0.1.number", "52000");
  await fill("numbers.0.1.when", "1975");
  await page.waitForSelector(".timeline .run");
  await press("Check, and more rows");
  await page.waitForSelector("text=No mistakes found");
  assert.match(await page.locator("main").innerText(), /case of steel: no metal was named/);
  await press("Save to the book");
  await page.waitForURL(/\/book\/pellisard\/MV/);
  assert.match(await page.locator("#dial").locator("xpath=..").innerText(), /Blue, applied figures/);
  reached("a reference written field by field");

  await page.goto(`/documents?watch=${one.id}`);
  await hand.tap(page.getByRole("button", { name: /^Issue: .*[Rr]eport/ }).first());
  await page.waitForURL(/\/documents\/[^?]+/);
  reached("the first paper");
  assert.ok(hand.seconds < 3600, `the first hour took ${hand.seconds} s`);
  for (const line of told) t.diagnostic(line);
});

test("the time of a version is moved by keys and by hand, and nothing else of the reference changes", async (t) => {
  const { server, shop } = await empty(t);
  const page = await open(t, { at: server.url, errors: refused });
  await page.goto("/book-notes");
  await page.locator("textarea").fill(readFileSync(kit + "notebook.txt", "utf8"));
  await page.getByRole("button", { name: "Read" }).click();
  await page.getByRole("button", { name: "Save to the book" }).click();
  await page.waitForURL(/\/book\/tarnholt/);
  const text = () => readFileSync(join(shop, "book", "tarnholt.yaml"), "utf8").split("\n");

  // saved as it is, the reference is written anew with the same meaning; from then on a change is a line
  const save = async () => {
    await page.getByRole("button", { name: "Save to the book" }).click();
    await page.waitForURL(/\/book\/tarnholt\/K-31$/);
  };
  await page.goto("/book-write?maker=tarnholt&reference=K-31");
  const before = text();
  await save();
  assert.deepEqual(text(), before, "saving what nobody changed changed the file");

  await page.goto("/book-write?maker=tarnholt&reference=K-31");
  const words = page.locator("[name='parts.crown.0.when']");
  const ends = page.locator("[data-bar='parts.crown.0.when'] .run-end");
  await ends.last().focus();
  const was = Number(await ends.last().getAttribute("aria-valuenow"));
  for (const k of ["ArrowLeft", "ArrowLeft", "PageDown"]) await page.keyboard.press(k);
  assert.equal(Number(await ends.last().getAttribute("aria-valuenow")), was - 14);
  await ends.last().scrollIntoViewIfNeeded();
  const box = await ends.last().boundingBox();
  await page.mouse.move(box.x + box.width / 2, box.y + box.height / 2);
  await page.mouse.down();
  await page.mouse.move(box.x + box.width / 2 + 30, box.y + box.height / 2, { steps: 5 });
  await page.mouse.up();
  assert.ok(Number(await ends.last().getAttribute("aria-valuenow")) > was - 14, "dragging did not move the end");
  assert.match(await words.inputValue(), /^\w+ 19\d\d to \w+ 19\d\d$/);
  await save();
  const changed = text().filter((l, i) => l !== before[i]);
  assert.ok(changed.length >= 1 && changed.length <= 2 && text().length === before.length, `changed: ${changed.join(" | ")}`);

  // what is no time is said beside the words, and not saved
  await page.goto("/book-write?maker=tarnholt&reference=K-31");
  await words.fill("blue ones");
  await page.waitForSelector(".timeline.empty");
  await page.getByRole("button", { name: "Save to the book" }).click();
  await page.waitForSelector(".error");
  assert.match(await page.locator(".error").innerText(), /“blue ones” will not do; give words such as/);
  assert.equal(await words.inputValue(), "blue ones");
});
