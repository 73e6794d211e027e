// What the pages do better with a script. Every page works without it: forms post,
// filters have their button, pictures are chosen with the browser's own control.
import { keepDrafts, forgetDraft } from "./drafts";
import { sendForms } from "./sending";
import { liveFilter } from "./live";
import { takePictures } from "./pictures";

document.documentElement.classList.add("scripted");

/** wire makes a part of a page work; it is called again for what is put in later. */
function wire(root: ParentNode): void {
  keepDrafts(root);
  takePictures(root);
}

wire(document);
sendForms({ changed: wire, sent: forgetDraft });
liveFilter();
