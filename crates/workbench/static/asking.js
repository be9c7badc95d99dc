// Numbers that are asked where they come from, in a dialog; a link without script.
// @ts-check
export function asking() {
  const dialog = /** @type {HTMLDialogElement | null} */ (document.getElementById("where"));
  if (!dialog) return;
  document.addEventListener("click", async (event) => {
    const link = /** @type {Element} */ (event.target).closest?.("a[data-where]");
    if (!link || event.ctrlKey || event.metaKey || event.shiftKey) return;
    event.preventDefault();
    const answer = await fetch(link.getAttribute("href") || "", { headers: { accept: "application/json" } });
    if (!answer.ok) return;
    const close = document.createElement("form");
    close.method = "dialog";
    const button = document.createElement("button");
    button.className = "btn small";
    button.textContent = "Close";
    close.append(button);
    dialog.innerHTML = await answer.text();
    dialog.append(close);
    dialog.showModal();
  });
  dialog.addEventListener("click", (event) => {
    if (event.target === dialog) dialog.close();
  });
}
