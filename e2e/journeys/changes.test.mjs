import assert from "node:assert/strict";
import { test } from "node:test";
import { open } from "../support/browser.mjs";

// Two browsers look at one watch and at the stock; what one of them records the other learns without asking.
test("open pages follow what others do", async (t) => {
  const mine = await open(t);
  const theirs = await open(t);
  await mine.goto("/");
  const watch = await mine.locator("table.stock a[href^='/watches/']").first().getAttribute("href");
  await theirs.goto(watch);
  await mine.goto(watch);
  const following = theirs.waitForRequest(/\/changes\?of=watch/);
  await theirs.reload();
  await following;
  assert.equal(await theirs.locator("main > .notice", { hasText: "has changed since" }).count(), 0);

  // A state that is changed moves the list of the one and tells the other that the file is not as it shows.
  await mine.goto(`${watch}/change`);
  await mine.fill("[name=place]", "tray forty-two");
  await mine.click("main form[data-keep=change] button[type=submit]");
  await mine.waitForURL(/changed=1/);
  await theirs.waitForSelector("main > .notice >> text=This watch has changed since you opened the page");
  await theirs.click("text=Show it as it is now");
  await theirs.waitForLoadState();
  assert.equal(await theirs.locator("main > .notice", { hasText: "has changed since" }).count(), 0);

  // The stock is renewed by itself where nobody is at it.
  await theirs.goto("/?q=forty-two");
  assert.equal(await theirs.locator("table.stock tbody tr").count(), 1);
  await mine.goto(`${watch}/change`);
  await mine.fill("[name=place]", "window");
  await mine.click("main form[data-keep=change] button[type=submit]");
  await mine.waitForURL(/changed=1/);
  await theirs.waitForFunction(() => document.querySelectorAll("table.stock tbody tr").length === 0, undefined, { timeout: 30000 });
});
