import { spawn } from "node:child_process";

/**
 * serve runs the program on a shop's folder and waits until it listens.
 * @returns {Promise<{url: string, stop: () => Promise<void>, kill: () => Promise<void>}>}
 */
export function serve(bin, shop, addr = "127.0.0.1:0") {
  const child = spawn(bin, ["serve", "--shop", shop, "--addr", addr, "--no-open"], { stdio: ["ignore", "pipe", "pipe"] });
  let says = "";
  const ended = new Promise((done) => child.on("exit", done));
  const end = (signal) => async () => {
    child.kill(signal);
    await ended;
  };
  return new Promise((ready, failed) => {
    const read = (chunk) => {
      says += chunk;
      const found = /listening on (http:\/\/\S+)/.exec(says);
      if (found) ready({ url: found[1], stop: end("SIGTERM"), kill: end("SIGKILL") });
    };
    child.stdout.on("data", read);
    child.stderr.on("data", (chunk) => (says += chunk));
    child.on("exit", () => failed(new Error(`midcase serve ended: ${says}`)));
  });
}
