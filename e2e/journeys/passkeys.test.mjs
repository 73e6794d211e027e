import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { cpSync, mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { test } from "node:test";
import { open, refused } from "../support/browser.mjs";
import { serve } from "../support/server.mjs";

const password = "four words for everybody";

/** shop serves a copy of the shop, in which Ines signs in. */
async function shop(t) {
  const dir = mkdtempSync(join(tmpdir(), "midcase-passkeys-"));
  t.after(() => rmSync(dir, { recursive: true }));
  cpSync(process.env.MIDCASE_SHOP, dir, { recursive: true });
  execFileSync(process.env.MIDCASE_BIN, ["people", "add", "Ines", "--role", "owner", "--shop", dir], { input: `${password}\n${password}\n` });
  const server = await serve(process.env.MIDCASE_BIN, dir);
  t.after(server.stop);
  return new URL(server.url).origin; // without the key, which would open the shop
}

/** device gives a page an authenticator of the browser's own making, which says yes to everything. */
async function device(page, verifies = true) {
  const cdp = await page.context().newCDPSession(page);
  await cdp.send("WebAuthn.enable");
  await cdp.send("WebAuthn.addVirtualAuthenticator", {
    options: { protocol: "ctap2", transport: "internal", hasResidentKey: true, hasUserVerification: true, isUserVerified: verifies, automaticPresenceSimulation: true },
  });
  return cdp;
}

test("a passkey is added, signs in, and is removed", async (t) => {
  const at = (await shop(t)).replace("127.0.0.1", "localhost");
  const page = await open(t, { at, errors: refused });
  await device(page);

  await page.goto("/account");
  await page.getByLabel("Name", { exact: true }).fill("Ines");
  await page.getByLabel("Password").fill(password);
  await page.getByRole("button", { name: "Sign in", exact: true }).click();
  await page.getByRole("heading", { name: "Your account" }).waitFor();

  await page.getByLabel("Name of the device").fill("laptop");
  await page.locator("#passkey-password").fill("not this one");
  await page.getByRole("button", { name: "Add a passkey" }).click();
  await page.getByText("It was refused: the password is wrong").waitFor();
  await page.locator("#passkey-password").fill(password);
  await page.getByRole("button", { name: "Add a passkey" }).click();
  await page.getByText("From now on this passkey signs you in").waitFor();
  assert.match(await page.locator("#passkeys ~ table").first().innerText(), /laptop[\s\S]*never/);
  if (process.env.MIDCASE_PASSKEY_SCREEN) await page.screenshot({ path: process.env.MIDCASE_PASSKEY_SCREEN, fullPage: true });

  await page.context().clearCookies();
  await page.goto("/sign-in?back=%2Faccount");
  await page.getByRole("button", { name: "Sign in with a passkey" }).click();
  await page.getByRole("heading", { name: "Your account" }).waitFor();

  await page.getByRole("button", { name: "Remove: laptop" }).click();
  await page.getByText("It opens nothing here any more").waitFor();
  await page.context().clearCookies();
  await page.goto("/sign-in");
  await page.getByRole("button", { name: "Sign in with a passkey" }).click();
  await page.getByText("the passkey is not known here").waitFor();
});

test("under an address of figures the page says that there are no passkeys", async (t) => {
  const page = await open(t, { at: await shop(t) });
  await page.goto("/account");
  assert.equal(await page.getByRole("button", { name: "Sign in with a passkey" }).count(), 0);
  await page.getByLabel("Name", { exact: true }).fill("Ines");
  await page.getByLabel("Password").fill(password);
  await page.getByRole("button", { name: "Sign in", exact: true }).click();
  await page.getByText("127.0.0.1 is an address of figures").waitFor();
});
