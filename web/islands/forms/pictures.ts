// Pictures may be dropped on the page or pasted into it, and are shown before they
// are sent.

export function takePictures(root: ParentNode): void {
  const form = root.querySelector<HTMLFormElement>("form[data-drop]");
  const input = form?.querySelector<HTMLInputElement>("input[type=file]");
  if (!form || !input) return;

  const preview = document.createElement("img");
  preview.className = "preview";
  preview.alt = "";
  preview.hidden = true;
  input.after(preview);
  const show = (): void => {
    const file = input.files?.[0];
    URL.revokeObjectURL(preview.src);
    preview.hidden = !file;
    if (file) preview.src = URL.createObjectURL(file);
  };
  preview.addEventListener("error", () => (preview.hidden = true)); // a kind that this browser cannot show
  input.addEventListener("change", show);

  const take = (files: FileList | undefined | null): boolean => {
    const file = [...(files ?? [])].find((f) => f.type.startsWith("image/"));
    if (!file) return false;
    const one = new DataTransfer();
    one.items.add(file);
    input.files = one.files;
    show();
    return true;
  };
  document.addEventListener("paste", (e) => {
    if (form.isConnected && take(e.clipboardData?.files)) e.preventDefault();
  });
  document.addEventListener("dragover", (e) => {
    if (!form.isConnected) return;
    e.preventDefault();
    form.classList.add("dropping");
  });
  document.addEventListener("dragleave", () => form.classList.remove("dropping"));
  document.addEventListener("drop", (e) => {
    form.classList.remove("dropping");
    if (!form.isConnected) return;
    e.preventDefault();
    take(e.dataTransfer?.files);
  });
}
