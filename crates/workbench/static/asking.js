// Numbers that are asked where they come from, in a dialog; a link without script.
// @ts-check
import { ask, isChord, on, one, within } from "./hands.js";

export function asking() {
  const dialog = /** @type {HTMLDialogElement | null} */ (one("#where"));
  if (!dialog) return;
  on("click", async (event) => {
    if (event.target === dialog) dialog.close();
    const link = within(event, "a[data-where]");
    if (!link || isChord(event) || event.shiftKey) return;
    event.preventDefault();
    const answer = await ask(link.getAttribute("href") || "");
    if (!answer.ok) return;
    dialog.innerHTML = `${await answer.text()}<form method="dialog"><button class="btn small">Close</button></form>`;
    dialog.showModal();
  });
}
