// Strips of the path: drag a stop to another place in its run, or move it by keys.
// @ts-check
import { edit } from "./live.js";

export function strips() {
  /** @type {{ id: number, li: HTMLElement, x: number, y: number, to: number } | null} */
  let grip = null;
  /** @param {Element} li */
  const run = (li) => li.closest("[data-run]")?.getAttribute("data-run") || "";
  /** @param {Element} li */
  const at = (li) => Number(li.getAttribute("data-at"));

  document.addEventListener("pointerdown", (event) => {
    const stop = /** @type {Element} */ (event.target).closest?.(".stand");
    const li = /** @type {HTMLElement | null} */ (stop?.closest("li") ?? null);
    if (!stop || !li || event.button !== 0) return;
    grip = { id: event.pointerId, li, x: event.clientX, y: event.clientY, to: at(li) };
  });
  document.addEventListener("pointermove", (event) => {
    if (!grip || grip.id !== event.pointerId) return;
    const [dx, dy] = [event.clientX - grip.x, event.clientY - grip.y];
    if (Math.hypot(dx, dy) < 4) return;
    const list = grip.li.parentElement;
    grip.li.style.transform = `translate(${dx}px, ${dy}px)`;
    grip.li.style.zIndex = "2";
    for (const li of list?.children || []) {
      const box = li.getBoundingClientRect();
      const over = li !== grip.li && event.clientX >= box.left && event.clientX < box.right && event.clientY >= box.top && event.clientY < box.bottom;
      li.classList.toggle("target", over);
      if (over) grip.to = at(li);
    }
  });
  document.addEventListener("pointerup", (event) => {
    if (!grip || grip.id !== event.pointerId) return;
    const { li, to } = grip;
    grip = null;
    li.style.transform = "";
    li.style.zIndex = "";
    document.querySelectorAll(".target").forEach((el) => el.classList.remove("target"));
    if (to !== at(li)) edit("stops", { run: run(li), how: "move", at: at(li), to });
  });
  document.addEventListener("keydown", (event) => {
    const stop = document.activeElement?.closest?.(".stand");
    const li = stop?.closest("li");
    if (!li || event.ctrlKey || event.metaKey) return;
    const list = /** @type {Element} */ (li.parentElement);
    const rtl = list.classList.contains("rtl") ? -1 : 1;
    const by = { ArrowLeft: -rtl, ArrowRight: rtl, ArrowUp: -1, ArrowDown: 1 }[event.key];
    if (by) {
      event.preventDefault();
      const to = at(li) + by;
      if (to >= 0 && to < list.children.length) edit("stops", { run: run(li), how: "move", at: at(li), to });
    }
    if (event.key === " ") {
      const tag = stop?.getAttribute("data-tag") || "";
      const link = document.querySelector(`[data-switch="${CSS.escape(tag)}"]`);
      event.preventDefault();
      if (link instanceof HTMLElement) link.click();
    }
    if (event.key === "Delete") edit("stops", { run: run(li), how: "out", at: at(li) });
  });
  // A switch answers to the space bar, as switches do.
  document.addEventListener("keydown", (event) => {
    const link = /** @type {HTMLElement} */ (event.target);
    if (event.key !== " " || !link.matches?.("a[role=switch]")) return;
    event.preventDefault();
    link.click();
  });
  // The pair chosen for a loop fills in the two ports it goes through.
  document.addEventListener("change", (event) => {
    const select = /** @type {HTMLSelectElement} */ (event.target);
    if (!select.matches?.("[data-pair]")) return;
    const option = select.selectedOptions[0];
    for (const name of ["send", "back"]) {
      const field = select.form?.elements.namedItem(name);
      if (field instanceof HTMLInputElement) field.value = option.dataset[name] || "";
    }
  });
}
