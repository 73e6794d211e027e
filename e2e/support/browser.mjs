import assert from "node:assert/strict";
import { after, before } from "node:test";
import { chromium } from "playwright-core";

// The address that was printed has the key in it, which becomes a cookie.
export const printed = process.env.MIDCASE_URL;
if (!printed) throw new Error("start the journeys with scripts/e2e, which serves a shop for them");
export const url = new URL(printed).origin;

export const phone = { viewport: { width: 360, height: 740 }, isMobile: true, hasTouch: true };

let browser;

before(async () => {
  browser = await chromium.launch({
    executablePath: process.env.CHROMIUM,
    args: ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking", "--disable-component-update", "--disable-sync"],
  });
});
after(async () => browser?.close());

/**
 * open opens a browser window of its own, which has the key of the shop. When the journey ends, it must have asked
 * no other host for anything and have no error in its console, but those expected.
 * @param {import("node:test").TestContext} t
 */
export async function open(t, options = {}) {
  const { errors: expected = /^$/, at = printed, ...context } = options;
  const base = new URL(at).origin;
  const ctx = await browser.newContext({ baseURL: base, ...context });
  ctx.setDefaultTimeout(30_000);
  await ctx.request.get(at);
  const page = await ctx.newPage();
  const errors = [];
  const elsewhere = [];
  // A shop of the journey's own stops before its window is closed, which may be asking for something just then.
  const gone = at === printed ? /^$/ : /net::ERR_CONNECTION_REFUSED/;
  page.on("console", (m) => {
    if (m.type() === "error" && !expected.test(m.text()) && !gone.test(m.text())) errors.push(m.text());
  });
  page.on("pageerror", (e) => errors.push(String(e)));
  page.on("request", (r) => {
    const to = r.url();
    if (!to.startsWith(base + "/") && !/^(data|blob):/.test(to)) elsewhere.push(to);
  });
  t.after(async () => {
    await ctx.close();
    assert.deepEqual(elsewhere, [], "asked another host");
    assert.deepEqual(errors, [], "errors in the console");
  });
  return page;
}

/** summary is the one sentence of the watch file that is open. */
export async function summary(page) {
  return (await page.locator("#summary").innerText()).replace(/\s+/g, " ");
}

/** takeIn opens a watch file and leaves the page on it. */
export async function takeIn(page, fields) {
  await page.goto("/take-in");
  for (const [label, text] of Object.entries(fields)) await page.getByLabel(label).fill(text);
  await page.getByRole("button", { name: "Take in" }).click();
  await page.waitForURL(/\/watches\//);
}

/** what an answer of 422 or 409 leaves in the console of this browser */
export const refused = /status of (422|409)/;
