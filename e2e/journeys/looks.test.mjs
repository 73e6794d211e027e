import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { test } from "node:test";
import { open, phone } from "../support/browser.mjs";

const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");

const pages = [
  "/", "/?todo=decide", "/take-in", "/counter", "/counter?reference=KR-1&asked=6500", "/counter?reference=none", "/watches/w_demo01", "/watches/w_demo05", "/watches/w_demo05?as-of=2020-01-01",
  "/watches/w_demo05/change", "/watches/w_demo05/record", "/watches/w_demo05/record?kind=fitted&slot=dial", "/watches/w_demo05/record?kind=finding&slot=dial", "/watches/w_demo05/record?kind=rate",
  "/watches/w_demo05/record?kind=photo", "/watches/w_demo05/ear", "/book", "/book/corvane", "/book/corvane/KR-8-18", "/book-difference?a=corvane/KR-1&b=corvane/KR-2", "/market", "/terms", "/settings", "/nowhere",
  "/?all=1", "/stock/labels?only=1,2", "/stock/list", "/compare?a=w_demo03", "/compare?a=w_demo03&find=1", "/book-edit", "/book-write?maker=corvane&reference=KR-2", "/book-write", "/book-edit/corvane?part=KR-1", "/book-edit/corvane", "/book-versions/corvane",
];

// The pages whose colours differ from one another; in the dark scheme only colours change.
const coloured = ["/?todo=decide", "/counter?reference=KR-1&asked=6500", "/watches/w_demo05", "/watches/w_demo05/record?kind=fitted&slot=dial", "/book/corvane/KR-8-18", "/market", "/settings", "/nowhere", "/compare?a=w_demo03&find=1", "/book-edit/corvane?part=KR-1", "/book-write?maker=corvane&reference=KR-2"];

async function violations(page, only) {
  await page.evaluate(axe); // past the policy, as a person's own tool would
  return await page.evaluate(async (runOnly) => {
    const found = await globalThis.axe.run(document, { runOnly, resultTypes: ["violations"] });
    return found.violations.map((v) => `${v.id}: ${v.nodes.map((n) => n.html.slice(0, 140)).slice(0, 3).join(" | ")}`);
  }, only);
}

for (const [scheme, these, rules] of [["light", pages, ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]], ["dark", coloured, ["color-contrast"]]]) {
  test(`axe-core finds nothing against WCAG 2.2 AA, ${scheme}`, async (t) => {
    const page = await open(t, { colorScheme: scheme, reducedMotion: "reduce", errors: /status of (404|422)/ });
    for (const path of these) {
      await page.goto(path);
      if (path === "/watches/w_demo05") await page.evaluate(() => document.querySelectorAll("details").forEach((d) => (d.open = true)));
      assert.deepEqual(await violations(page, rules), [], path);
    }
  });
}

test("no page scrolls sideways on a phone, and none is wider than it in print", async (t) => {
  const page = await open(t, { ...phone, errors: /status of (404|422)/ });
  for (const path of pages) {
    await page.goto(path);
    const wide = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
    assert.ok(wide <= 0, `${path} is ${wide} px too wide`);
  }
});

test("the first page is light and stands still", async (t) => {
  const page = await open(t);
  let bytes = 0;
  const session = await page.context().newCDPSession(page);
  await session.send("Network.enable");
  session.on("Network.loadingFinished", (e) => (bytes += e.encodedDataLength));
  await page.addInitScript(() => {
    globalThis.shift = 0;
    new PerformanceObserver((list) => {
      for (const e of list.getEntries()) globalThis.shift += e.value;
    }).observe({ type: "layout-shift", buffered: true });
  });
  await page.goto("/", { waitUntil: "networkidle" });
  t.diagnostic(`${bytes} bytes`);
  assert.ok(bytes < 150_000, `${bytes} bytes`);
  assert.ok((await page.evaluate(() => globalThis.shift)) < 0.01, "the layout shifts");
});

test("each page prints", async (t) => {
  const page = await open(t);
  for (const path of ["/", "/watches/w_demo05", "/market", "/book/corvane/KR-1", "/compare?a=w_demo03&find=1", "/stock/labels?only=1,2"]) {
    await page.goto(path);
    const pdf = await page.pdf({ format: "A4" });
    assert.equal(pdf.subarray(0, 5).toString(), "%PDF-", path);
  }
});
