// What the pages do better with a script. Every page works without it: forms post,
// filters have their button, pictures are chosen with the browser's own control.
import { keepDrafts, forgetDraft } from "./forms/drafts";
import { sendForms } from "./forms/sending";
import { followChanges } from "./forms/changes";
import { singleKeys } from "./forms/keys";
import { leadToLines } from "./forms/lines";
import { liveFilter } from "./forms/live";
import { takePictures } from "./forms/pictures";
import { showProgress } from "./forms/progress";

/** wire makes a part of a page work; it is called again for what is put in later. */
function wire(root: ParentNode): void {
  keepDrafts(root);
  takePictures(root);
  showProgress(root);
}

wire(document);
sendForms({ changed: wire, sent: forgetDraft });
liveFilter();
followChanges((root) => {
  wire(root);
  liveFilter();
});
leadToLines();
singleKeys();
