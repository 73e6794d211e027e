// A link that names a line of a text leads to that line in its field.

export function leadToLines(): void {
  document.addEventListener("click", (e) => {
    const link = e.target instanceof Element ? e.target.closest<HTMLAnchorElement>("a[data-line]") : null;
    const field = link && document.querySelector<HTMLTextAreaElement>("textarea#text");
    if (!link || !field) return;
    e.preventDefault();
    const line = Number(link.dataset.line);
    const before = field.value.split("\n").slice(0, line - 1);
    const from = before.reduce((n, l) => n + l.length + 1, 0);
    const end = field.value.indexOf("\n", from);
    field.focus();
    field.setSelectionRange(from, end < 0 ? field.value.length : end);
    const height = field.scrollHeight / field.value.split("\n").length;
    field.scrollTop = Math.max(0, (line - 4) * height);
  });
}
