// The top view that grows as a new kind is measured, and the search of the catalogue as it is typed.
// @ts-check
import { ask, fieldsOf, on, one } from "./hands.js";
import { at, refresh } from "./live.js";

export function measure() {
  let turn = 0;
  on("input", (event) => {
    const target = /** @type {HTMLInputElement} */ (event.target);
    const form = target.form;
    if (form?.dataset.view) view(form, ++turn);
    if (target.dataset.search !== undefined) {
      const mine = ++turn;
      setTimeout(() => {
        if (mine === turn) refresh(`${at().split("?")[0]}?add=catalogue&words=${encodeURIComponent(target.value)}`);
      }, 120);
    }
  });
  // Outlets are set by choosing.
  on("change", (event) => {
    const select = /** @type {HTMLSelectElement} */ (event.target);
    if (select.matches("[data-auto]")) select.form?.requestSubmit();
  });

  /** @param {HTMLFormElement} form @param {number} mine */
  async function view(form, mine) {
    const answer = await ask(form.dataset.view || "", { method: "POST", body: fieldsOf(form) });
    const told = await answer.json();
    const box = one("#measure-view");
    if (mine !== turn || !box) return;
    if (answer.ok && told.html) {
      box.innerHTML = told.html;
      box.setAttribute("aria-label", `Top view, to scale: ${told.said}`);
    } else {
      const p = document.createElement("p");
      p.className = "none";
      p.textContent = told.refused || told.said || "";
      box.replaceChildren(p);
    }
  }
}
