// The sum of a paper's bytes is made here, so that nobody hands the paper over to have it checked.
const form = document.querySelector<HTMLFormElement>("form[data-sum]");
const file = form?.querySelector<HTMLInputElement>("input[type=file]");
const sum = form?.querySelector<HTMLInputElement>("input[name=sha256]");

if (form && file && sum && globalThis.crypto?.subtle) {
  file.closest<HTMLElement>("[hidden]")?.removeAttribute("hidden");
  file.addEventListener("change", async () => {
    const chosen = file.files?.[0];
    if (!chosen) return;
    const bytes = new Uint8Array(await crypto.subtle.digest("SHA-256", await chosen.arrayBuffer()));
    sum.value = Array.from(bytes, (b) => b.toString(16).padStart(2, "0")).join("");
    form.requestSubmit();
  });
}
