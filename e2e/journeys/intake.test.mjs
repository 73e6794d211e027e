import assert from "node:assert/strict";
import { test } from "node:test";
import { open, phone, takeIn } from "../support/browser.mjs";
import { counting } from "../support/keystrokes.mjs";

const itemsOf = (page, id) => page.request.get(`/api/watches/${id}`).then((r) => r.json()).then((w) => w.evidence);
const idOf = (page) => new URL(page.url()).pathname.split("/")[2];

/** recorded waits until the line of status changes: what was pressed is on record. */
async function recorded(page, press) {
  const answered = page.waitForResponse((r) => r.request().method() === "POST");
  await press();
  await answered;
}

test("a whole watch on the sheet, by keys: sixty items within three minutes", async (t) => {
  const page = await open(t);
  await takeIn(page, { Maker: "Corvane", Reference: "KR-1" });
  const id = idOf(page);
  await page.goto(`/watches/${id}/sheet`);
  const hand = counting(page);
  const one = (k) => recorded(page, () => hand.key(k));
  for (const part of "dhxbcrkmlesow") { // the version, a flaw, nothing more
    await hand.key(part, true);
    await one((await page.locator("details.slot[open] button[data-k='1']").count()) ? "1" : "0");
    await hand.key("f");
    await hand.key("1");
    await one("1");
    await one("n");
  }
  await hand.key("c", true);
  await one("u");
  await hand.key("g", true);
  const numbers = ["414461", "", "", "III 68", "", "81445", "", ""];
  const sizes = ["34.4", "41.6", "19", "", "11.2", "", "", "0.6", "19", "16"];
  const weights = ["92", "51", "", "", "", "41"];
  const rates = ["+4 265 0.3", "+6 262 0.3", "-2 240 0.4", "+1 238 0.4", "0 241 0.4", "+3 239 0.5"];
  for (const figures of [...numbers, ...sizes, ...weights, ...rates, "41"]) {
    if (!figures) {
      await page.keyboard.press("Tab");
      continue;
    }
    await hand.type(figures);
    await recorded(page, () => hand.key("Enter"));
    await page.waitForFunction(() => document.activeElement?.matches("[data-cell]") && !document.activeElement.value);
  }
  const items = await itemsOf(page, id);
  t.diagnostic(`${items.length} items, ${hand.actions} actions, ${hand.seconds.toFixed(0)} s by the keystroke-level model`);
  assert.ok(items.length >= 60, `${items.length} items`);
  assert.ok(hand.seconds < 180, `${hand.seconds} s`);
  assert.ok(items.every((it) => it.by !== "command line"));
});

const dictated = `dial silver a few small spots between three and five the print is crisp lume intact no relume hands fine scratches
crystal scratched lightly crown worn case never polished dents two small ones at the lower left lug bezel scratches light case back tool marks light
movement clean winding is smooth serial four one four four six three diameter thirty four point four lug width nineteen
rate dial up plus four amplitude two sixty five beat error zero point three crown down minus two amplitude two forty
bracelet stretch moderate clasp weak no box no papers`;

test("a watch by notes: read, kept with one key, recorded", async (t) => {
  const page = await open(t);
  await takeIn(page, { Maker: "Corvane", Reference: "KR-1" });
  const id = idOf(page);
  await page.goto(`/watches/${id}/notes`);
  const hand = counting(page);
  await page.getByLabel("Notes", { exact: true }).fill(hand.said(dictated));
  await hand.tap(page.getByRole("button", { name: "Read" }));
  await page.locator("[data-row]").first().waitFor();
  const proposals = await page.locator("[data-row]").count();
  await page.waitForFunction(() => document.activeElement?.matches("[data-row]"));
  await hand.key("k", true);
  await hand.key("x", true);
  await hand.key("a", true);
  await hand.key("Enter");
  await page.waitForURL(new RegExp(`/watches/${id}(#|$)`));
  const items = await itemsOf(page, id);
  t.diagnostic(`${items.length} of ${proposals} proposals kept, ${hand.actions} actions, ${hand.seconds.toFixed(0)} s beside the dictation`);
  assert.equal(items.length, proposals - 1);
  assert.ok(items.length >= 15, `${items.length} items`);
  assert.ok(!items.some((it) => it.data.term === "polished" || it.data.term === "relume"), "a denied fault was recorded");
});

const sixty = `dial silver a few small spots between three and five print crisp lume intact light patina
hands light scratches lume slightly cracked a small stain
crystal lightly scratched small chip at the edge at nine
bezel light scratches one small dent at two
crown signed slightly worn
case never polished two small dents at the lower left lug light scratches bevels sharp
case back light tool marks light scratches initials engraved
movement clean signed some light rust on the keyless works light scratches
movement number eight one four four six
serial four one four four six three
diameter thirty four point four
lug width nineteen
lug to lug forty two
thickness ten point two
crown five point zero
head weighs thirty eight point two grams
dial up plus four amplitude two sixty five beat error zero point three
dial down plus six amplitude two sixty two beat error zero point three
crown down minus two amplitude two forty beat error zero point four
crown left plus one amplitude two thirty eight beat error zero point four
crown up zero amplitude two forty one beat error zero point four
crown right plus three amplitude two thirty nine beat error zero point five
power reserve forty one hours
bracelet moderate stretch moderate scratches lightly polished one link missing bracelet length one hundred and sixty two millimetres
clasp weak moderate scratches slightly bent
end links slightly loose light scratches
box there worn slightly stained
papers dated march nineteen sixty nine with light stains
receipt of april nineteen sixty nine
serviced in nineteen ninety six
serviced in may two thousand and twenty two
needs a new gasket eighty euro
needs a new crown one hundred and twenty euro
pushers slightly worn light scratches`;

for (const [way, options] of [["at the desk", {}], ["on a phone", phone]]) {
  test(`sixty items by notes ${way}: under a hundred actions and three minutes`, async (t) => {
    const page = await open(t, options);
    await takeIn(page, { Maker: "Corvane", Reference: "KR-1" });
    const id = idOf(page);
    await page.goto(`/watches/${id}/notes`);
    const hand = counting(page);
    await page.getByLabel("Notes", { exact: true }).fill(hand.said(sixty));
    await hand.tap(page.getByRole("button", { name: "Read" }));
    await page.locator("[data-row]").first().waitFor();
    const proposals = await page.locator("[data-row]").count();
    await hand.tap(page.getByRole("button", { name: "Keep all the rest" }));
    assert.equal(await page.locator("[data-row] input[name=keep]:checked").count(), proposals);
    await hand.tap(page.getByRole("button", { name: "Record what is kept" }));
    await page.waitForURL(new RegExp(`/watches/${id}(#|$)`));
    const items = await itemsOf(page, id);
    t.diagnostic(`${items.length} items, ${hand.actions} actions, ${hand.seconds.toFixed(0)} s beside the dictation`);
    assert.ok(items.length >= 60, `${items.length} items`);
    assert.ok(hand.actions < 100 && hand.seconds < 180, `${hand.actions} actions, ${hand.seconds} s`);
    assert.ok(!items.some((it) => it.data.term === "replaced"), "a part that is needed is not one that was replaced");
  });
}

test("a slip on the sheet is asked about; u takes what was meant, k keeps it, z takes it back", async (t) => {
  const page = await open(t, { errors: /status of 422/ });
  await takeIn(page, { Maker: "Corvane", Reference: "KR-1" });
  const id = idOf(page);
  await page.goto(`/watches/${id}/sheet`);
  const cell = page.locator("[name='dimension.mid_case_diameter']");
  await cell.fill("3.44");
  await cell.press("Enter");
  assert.match(await page.locator(".asked").innerText(), /Did you mean 34\.4\?/);
  await recorded(page, () => page.keyboard.press("u"));
  await page.waitForFunction(() => !document.querySelector(".asked"));
  assert.deepEqual((await itemsOf(page, id)).map((it) => it.data.mm), [34.4]);
  await page.locator("[name='dimension.lug_width']").fill("199");
  await page.locator("[name='dimension.lug_width']").press("Enter");
  await page.locator(".asked").waitFor();
  await recorded(page, () => page.keyboard.press("k"));
  await page.waitForFunction(() => !document.querySelector(".asked"));
  const kept = (await itemsOf(page, id)).at(-1);
  assert.equal(kept.data.mm, 199);
  assert.match(kept.note, /^kept all the same: /);
  await page.locator("#slot-dial summary").focus();
  await recorded(page, () => page.keyboard.press("z"));
  assert.equal((await itemsOf(page, id)).at(-1).kind, "withdrawal");
});

test("the sheet on a phone with one thumb, and Back records nothing twice", async (t) => {
  const page = await open(t, phone);
  await takeIn(page, { Maker: "Corvane", Reference: "KR-1" });
  const id = idOf(page);
  await page.goto(`/watches/${id}/sheet`);
  assert.ok(await page.evaluate(() => document.documentElement.scrollWidth <= window.innerWidth), "wider than the phone");
  await page.locator("#slot-dial summary").tap();
  await page.locator("#slot-dial [data-hour='4']").tap();
  assert.equal(await page.locator("#where-dial").inputValue(), "at 4");
  await recorded(page, () => page.locator("#slot-dial [data-chip='1'] [data-severity='2']").tap());
  await page.waitForFunction(() => document.querySelector("#slot-dial ol.kept li"));
  await page.goto("/");
  await page.goBack();
  const items = await itemsOf(page, id);
  assert.deepEqual(items.map((it) => [it.kind, it.data.severity, it.data.where]), [["finding", 2, "at 4"]]);
});
