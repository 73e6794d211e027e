// Pictures sent one by one to a contact sheet. What the sheet has, or what was sorted before, is not sent again, so that
// a folder of thousands can be chosen anew after the page was closed.

/** isPicture goes by kind, and by name where the browser knows no kind (HEIC). */
export function isPicture(f: File): boolean {
  return f.type.startsWith("image/") || /\.(jpe?g|png|webp|avif|heic|heif|tiff?)$/i.test(f.name);
}

/** mark is what a file is known again by: name, size and day. */
const mark = (f: File): string => `${f.name.replaceAll("\n", " ")}|${f.size}|${f.lastModified}`;

interface Known {
  sheet?: string;
  on_sheet: number[];
  before: number[];
}

const atOnce = 2000; // files asked about in one request
const pause = (ms: number) => new Promise((r) => setTimeout(r, ms));
const many = (n: number, what: string) => `${n.toLocaleString()} ${what}${n === 1 ? "" : "s"}`;

/** ask tells which files need not be sent. */
async function ask(files: File[]): Promise<Known> {
  const all: Known = { on_sheet: [], before: [] };
  for (let i = 0; i < files.length; i += atOnce) {
    const body = new URLSearchParams({ files: files.slice(i, i + atOnce).map(mark).join("\n") });
    const answer = await fetch("/contact-sheets/known", { method: "POST", body });
    if (!answer.ok) continue; // then all are sent; the sheet tells repeats
    const got = (await answer.json()) as Known;
    if (got.sheet) all.sheet = got.sheet;
    all.on_sheet.push(...got.on_sheet.map((n) => n + i));
    all.before.push(...got.before.map((n) => n + i));
  }
  return all;
}

/** left says how long the rest will take. */
function left(done: number, all: number, since: number): string {
  const minutes = (((Date.now() - since) / done) * (all - done)) / 60_000;
  return done < 5 || minutes < 1 ? "" : `; about ${many(Math.ceil(minutes), "minute")} left`;
}

/** sendPictures sends files and returns the address of the sheet; empty where nothing is to be sorted. */
export async function sendPictures(files: File[], bar: HTMLProgressElement, says: HTMLElement): Promise<string> {
  const known = await ask(files);
  const skip = new Set([...known.on_sheet, ...known.before]);
  const rest = files.filter((_, i) => !skip.has(i));
  const notes = [];
  if (known.on_sheet.length > 0) notes.push(`${many(known.on_sheet.length, "picture")} on the sheet already`);
  if (known.before.length > 0) notes.push(`${many(known.before.length, "picture")} sorted before`);
  const skipped = notes.length > 0 ? ` (${notes.join(", ")}; not sent again)` : "";
  let sheet = known.sheet ?? "";
  bar.hidden = false;
  bar.max = rest.length || 1;
  const since = Date.now();
  for (let i = 0; i < rest.length; ) {
    const file = rest[i] as File;
    bar.value = i;
    says.textContent = `${i.toLocaleString()} of ${many(rest.length, "picture")} read${left(i, rest.length, since)}${skipped}`;
    const body = new FormData();
    body.append("file", mark(file));
    body.append("pictures", file);
    try {
      const answer = await fetch(`/contact-sheets${sheet ? `?sheet=${sheet}` : ""}`, { method: "POST", body, headers: { Accept: "application/json" } });
      if (answer.ok) sheet = ((await answer.json()) as { sheet: string }).sheet;
      else if (answer.status === 503 || answer.status === 429) { // no memory free for pictures; it takes the next try
        await pause(2000);
        continue;
      }
    } catch { // the server is away: wait and go on where it stopped
      says.textContent = `${i.toLocaleString()} of ${many(rest.length, "picture")} read; waiting for the server`;
      await pause(2000);
      continue;
    }
    i++;
  }
  bar.value = bar.max;
  if (sheet) return `/contact-sheets/${sheet}`;
  says.textContent = known.before.length > 0 ? `Nothing new: ${many(known.before.length, "picture")} sorted before.` : "No picture could be read.";
  return "";
}
