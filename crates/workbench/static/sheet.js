// The table of devices: keys move between cells, a block is pasted as one edit, Ctrl D fills down.
// @ts-check
import { every, on, one, within } from "./hands.js";
import { job, send } from "./live.js";

/** @typedef {HTMLInputElement | HTMLSelectElement} Cell */

const rows = () => every("[data-sheet] tbody tr");
/** @param {HTMLElement | undefined} row @param {number} col @returns {Cell | null} */
const cell = (row, col) => row?.querySelector(`[data-col="${col}"]`) || null;
/** @param {Element | null} el @returns {Cell | null} */
const held = (el) => /** @type {Cell | null} */ (within(el, "[data-col]"));

/** Texts into the cells from this one on, as one edit. @param {Cell} from @param {string[][]} texts */
function fill(from, texts) {
  const all = rows();
  const top = all.indexOf(/** @type {HTMLElement} */ (from.closest("tr")));
  const fields = new URLSearchParams({ act: "set" });
  let many = 0;
  texts.forEach((line, down) => line.forEach((text, right) => {
    const el = cell(all[top + down], Number(from.dataset.col) + right);
    if (!el?.form) return;
    const data = new FormData(el.form);
    fields.append("field", String(data.get("field")));
    fields.append("value", text.trim());
    fields.append("from", String(data.get("from") || ""));
    fields.set("unit", String(data.get("unit")));
    many++;
  }));
  fields.set("name", `fill ${many} cells`);
  if (many) send(`${job()}/edit`, fields);
}

export function table() {
  on("keydown", (event) => {
    const el = held(document.activeElement);
    if (!el || event.altKey || event.metaKey) return;
    const all = rows();
    const at = all.indexOf(/** @type {HTMLElement} */ (el.closest("tr")));
    if (event.ctrlKey) {
      if (event.key.toLowerCase() !== "d" || at < 1) return;
      event.preventDefault();
      const above = cell(all[at - 1], Number(el.dataset.col));
      if (above) fill(el, [[above.value]]);
      return;
    }
    const by = { ArrowUp: -1, ArrowDown: 1, Enter: 1 }[event.key];
    if (!by || (el.nodeName === "SELECT" && event.key !== "Enter")) return;
    const to = cell(all[at + by], Number(el.dataset.col));
    if (!to) return;
    // To leave a cell saves it.
    event.preventDefault();
    to.focus();
    if (to instanceof HTMLInputElement) to.select();
  });
  on("paste", (event) => {
    const el = held(document.activeElement);
    const text = event.clipboardData?.getData("text/plain").replace(/[\r\n]+$/, "") || "";
    if (!el || !/[\t\n]/.test(text)) return;
    event.preventDefault();
    fill(el, text.split(/\r?\n/).map((line) => line.split("\t")));
  });
  on("input", (event) => {
    const as = /** @type {HTMLSelectElement | null} */ (one("#typed-as"))?.value;
    const mark = held(/** @type {Element} */ (event.target))?.form?.querySelector("[data-typed-as]");
    if (as && mark) /** @type {HTMLInputElement} */ (mark).value = as;
  });
}
