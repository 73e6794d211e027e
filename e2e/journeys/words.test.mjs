import assert from "node:assert/strict";
import { test } from "node:test";
import { open } from "../support/browser.mjs";

test("a listing in the dealer's own words: marked while typing, put back, kept", async (t) => {
  const page = await open(t);
  await page.goto("/watches/w_demo03/listing");
  await page.click("text=Edit this text");
  await page.waitForURL("**/listing/edit**");
  const text = page.locator("textarea[name=text]");
  const was = await text.inputValue();
  const bezel = was.split("\n").find((l) => l.startsWith("Bezel:"));
  await text.fill(was.replace(bezel + "\n", "") + "\n\nThe dial is stunning.");
  await page.waitForSelector("#marks [data-kind=adjective]");
  assert.match(await page.textContent(".own-words .under mark"), /stunning/);
  await page.click("text=Put it back");
  await page.waitForFunction(() => !document.querySelector("#marks [data-insert]"));
  assert.ok((await text.inputValue()).includes(bezel), "the sentence is in the text again");
  await text.fill((await text.inputValue()).replace("The dial is stunning.", "It can be seen in our rooms."));
  await page.waitForFunction(() => /Nothing is marked/.test(document.querySelector("#marks")?.textContent ?? ""));
  await page.click("text=Keep this text");
  await page.waitForURL(/listing\?/);
  assert.match(await page.textContent("article.told"), /It can be seen in our rooms/);
  await page.click("text=Edit this text");
  await page.click("text=Back to the program");
  await page.waitForURL(/listing\?/);
  assert.doesNotMatch(await page.textContent("article.told"), /in our rooms/);
});
