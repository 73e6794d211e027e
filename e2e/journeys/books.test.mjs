import assert from "node:assert/strict";
import { spawnSync } from "node:child_process";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { test } from "node:test";
import { open } from "../support/browser.mjs";
import { serve } from "../support/server.mjs";

// own is a served shop of its own, with what the given commands made in it.
async function own(t, ...commands) {
  const dir = mkdtempSync(join(tmpdir(), "midcase-books-"));
  const shop = join(dir, "shop");
  for (const args of [["setup", "--country", "NL", "--name", "Marrow Lane Watches"], ...commands]) {
    const ran = spawnSync(process.env.MIDCASE_BIN, [...args, "--shop", shop], { encoding: "utf8" });
    assert.equal(ran.status, 0, `${args.join(" ")}: ${ran.stderr}`);
  }
  const server = await serve(process.env.MIDCASE_BIN, shop);
  t.after(async () => {
    await server.stop();
    rmSync(dir, { recursive: true, force: true });
  });
  return { page: await open(t, { at: server.url, errors: /422/ }), dir };
}

const people = [["clients", "add", "Selma Lund", "--paper", "passport", "--number", "X1", "--country", "NL"], ["clients", "add", "Bruno Vale", "--country", "DE"]];
const amount = (text) => text.replace(/\s+/g, " ");

test("a sale is invoiced with its e-invoice, and the statement of the bank pays it once", async (t) => {
  const { page, dir } = await own(t, ...people,
    ["documents", "letterhead", "--tax-number", "NL000000000B00", "--line", "7 Marrow Lane", "--bank", "NL91 ABNA 0417 1643 00"],
    ["clients", "address", "Bruno Vale", "--country", "DE", "--street", "2 Quay", "--city", "Westmere"],
    ["watch", "add", "--maker", "Corvane", "--reference", "KR-1"],
    ["stock", "buy", "1", "5000EUR", "--client", "Selma", "--scheme", "margin", "--day", "2026-01-05"],
    ["stock", "sell", "1", "8200EUR", "--client", "Bruno", "--pay", "owed", "--day", "2026-01-20"]);
  await page.goto("/documents?q=1");
  await page.getByRole("link", { name: /^File 1,/ }).click();
  await page.getByRole("button", { name: "Issue: Invoice" }).click();
  await page.waitForURL(/documents\/pa_.*made=1/);
  const number = (await page.getByRole("heading", { level: 1 }).innerText()).replace("Invoice ", "");
  const xml = await (await page.request.get(await page.getByRole("link", { name: "E-invoice (UBL)" }).getAttribute("href"))).text();
  assert.match(xml, /VATEX-EU-F/);
  assert.match(xml, new RegExp(`<cbc:ID>${number}</cbc:ID>`));
  assert.doesNotMatch(xml, /<cbc:TaxAmount currencyID="EUR">[1-9]/, "a margin sale shows tax");

  writeFileSync(join(dir, "bank.csv"), `Date,Name,Text,Amount\n2026-02-02,,Invoice ${number},8200.00\n2026-02-03,,Bank charges,-4.50\n2026-02-04,Somebody,gift,17.00\n`);
  for (const first of [true, false]) {
    await page.goto("/ledger/statement");
    await page.locator("input[type=file]").setInputFiles(join(dir, "bank.csv"));
    await page.getByRole("button", { name: /Read/ }).click();
    await page.waitForURL(/ledger\/statement\/./);
    const boxes = page.locator("input[name=line]");
    assert.equal(await boxes.count(), first ? 2 : 0);
    if (!first) break;
    for (const box of await boxes.all()) await box.check();
    await page.getByRole("button", { name: /Book/ }).click();
    await page.getByText("Booked.").waitFor();
  }
  await page.goto("/ledger/due");
  await page.getByText("Nothing is open").waitFor();
});

test("the owner of a consigned watch gets an advance, a settlement in German and the rest", async (t) => {
  const { page } = await own(t, ...people, ["watch", "add", "--maker", "Corvane", "--reference", "KR-4"],
    ["stock", "consign", "1", "3000EUR", "--client", "Selma", "--commission", "15%", "--day", "2026-01-12"]);
  await page.goto("/ledger/enter?kind=owner-advance");
  await page.getByRole("button", { name: "Book it" }).click();
  await page.locator("#e-amount").waitFor(); // the answer is put into the page
  assert.equal(await page.locator("#e-amount, #e-watch, #e-client").count(), 3);
  await page.locator("#f-amount").fill("200");
  await page.locator("#f-watch").fill("1");
  await page.locator("#f-client").fill("Selma Lund");
  await page.locator("#f-day").fill("2026-01-15");
  await page.getByRole("button", { name: "Book it" }).click();
  await page.waitForURL(/ledger\/journal/);
  await page.goto("/documents?q=1");
  await page.getByRole("link", { name: /^File 1,/ }).click();
  await page.locator(".place a").first().click();
  const watch = new URL(page.url()).pathname;
  await page.goto(`${watch}/life?act=sell`);
  await page.locator("#f-amount").fill("3200");
  await page.locator("#f-client").fill("Bruno Vale");
  await page.locator("#f-day").fill("2026-02-01");
  await page.locator("form:has(#f-amount) button[type=submit]").first().click();
  await page.waitForURL(/life(?!\?act)/);
  await page.goto(`/documents?watch=${watch.split("/").pop()}`);
  const row = page.getByRole("row").filter({ has: page.getByRole("rowheader", { name: "Settlement" }) });
  await row.getByLabel("Language").selectOption("de");
  await row.getByRole("button", { name: "Issue: Settlement" }).click();
  await page.waitForURL(/documents\/pa_.*made=1/);
  const text = amount(await (await page.request.get(await page.getByRole("link", { name: "Markdown" }).getAttribute("href"))).text());
  for (const part of ["# Abrechnung O-", "keine Umsatzsteuer", "15 % Provision", "Vorschuss vom 15. Januar 2026 | −200,00 EUR", "2.520,00 EUR"]) assert.ok(text.includes(part), `${part}: ${text}`);
  await page.goto("/ledger/due");
  await page.getByRole("link", { name: "Settle" }).click();
  assert.match(await page.locator("#f-amount").inputValue(), /2520[.,]00/);
  await page.getByRole("button", { name: "Book the settlement" }).click();
  await page.getByText("Nothing is open").waitFor();
});

test("a month is filed and opened again, and the return of the year stands in its boxes", async (t) => {
  const { page } = await own(t, ...people, ["ledger", "capital", "9000EUR", "--day", "2026-01-02"]);
  await page.goto("/ledger/periods");
  await page.locator("#f-month").selectOption("2026-01");
  await page.getByRole("button", { name: "Save the period" }).click();
  const january = page.getByRole("row").filter({ has: page.getByRole("rowheader", { name: "Jan 2026" }) });
  await january.getByText("filed").waitFor();
  await page.locator("#f-month").selectOption("2026-01");
  await page.locator("#f-to").selectOption("open");
  await page.getByRole("button", { name: "Save the period" }).click();
  await january.getByText("open").waitFor();
  await page.goto("/ledger/return?period=2026&form=ie");
  assert.equal(await page.locator("tbody tr").count(), 4);
});
