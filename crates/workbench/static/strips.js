// Strips of the path: a stop is dragged to another place, in its run or another one, or moved by keys.
// @ts-check
import { carried, every, isChord, on, one, quoted, within } from "./hands.js";
import { edit } from "./live.js";

/** @param {Element} li */
const run = (li) => within(li, "[data-run]")?.dataset.run || "";
/** @param {Element} li */
const at = (li) => Number(li.getAttribute("data-at"));
/** Puts a stop before another place. @param {Element} li @param {number} to @param {string} [into] */
function send(li, to, into = run(li)) {
  const name = li.querySelector(".stand")?.textContent || "";
  edit("stops", { run: run(li), how: "move", at: at(li), to, into }).then(() =>
    every(`[data-run=${quoted(into)}] .stand`).find((el) => el.textContent === name)?.focus());
}

/** The stop beneath a pointer, other than this one. @param {PointerEvent} event @param {Element} [but] */
const beneath = (event, but) => every("[data-run] > li").find((el) => {
  const box = el.getBoundingClientRect();
  return el !== but && event.clientX >= box.left && event.clientX < box.right && event.clientY >= box.top && event.clientY < box.bottom;
}) || null;
/** @param {Element | null} over */
const aim = (over) => every("[data-run] > li").forEach((el) => el.classList.toggle("target", el === over));

export function strips() {
  // What is in no run yet is let go on the stop that it comes before.
  carried("[data-shelf]", (chip) => {
    /** @type {HTMLElement | null} */
    let over = null;
    return {
      move(dx, dy, event) {
        chip.style.transform = `translate(${dx}px, ${dy}px)`;
        aim((over = beneath(event)));
      },
      end(kept) {
        chip.style.transform = "";
        aim(null);
        // The click that ends a carry is no press.
        chip.onclick = () => false;
        setTimeout(() => { chip.onclick = null; });
        if (kept && over) edit("stops", { run: run(over), how: "insert", stop: chip.dataset.shelf || "", at: at(over) });
      },
    };
  });
  carried(".stand:not([data-shelf])", (stand) => {
    const li = /** @type {HTMLElement} */ (stand.closest("li"));
    /** @type {HTMLElement | null} */
    let over = null;
    li.style.zIndex = "2";
    return {
      move(dx, dy, event) {
        li.style.transform = `translate(${dx}px, ${dy}px)`;
        aim((over = beneath(event, li)));
      },
      end(kept) {
        li.style.transform = li.style.zIndex = "";
        over?.classList.remove("target");
        if (kept && over) send(li, at(over), run(over));
      },
    };
  });
  on("keydown", (event) => {
    const stop = within(document.activeElement, ".stand");
    const li = stop?.closest("li");
    if (!stop || !li?.parentElement || isChord(event)) return;
    const list = li.parentElement;
    const rtl = list.classList.contains("rtl") ? -1 : 1;
    const by = { ArrowLeft: -rtl, ArrowRight: rtl, ArrowUp: -1, ArrowDown: 1 }[event.key];
    if (by) {
      event.preventDefault();
      const to = at(li) + by;
      const lists = every("[data-run]");
      const next = lists[lists.indexOf(list) + by];
      // With Shift, up and down lead to the run above or below.
      if (event.shiftKey && /Up|Down/.test(event.key)) {
        if (next) send(li, Math.min(at(li), next.children.length - 1), run(next));
      } else if (to >= 0 && to < list.children.length) send(li, to);
    }
    if (event.key === " ") {
      event.preventDefault();
      one(`[data-switch=${quoted(stop.dataset.tag || "")}]`)?.click();
    }
    if (event.key === "Delete") edit("stops", { run: run(li), how: "out", at: at(li) });
  });
  // A switch answers to the space bar, as switches do.
  on("keydown", (event) => {
    const link = /** @type {HTMLElement} */ (event.target);
    if (event.key !== " " || !link.matches("a[role=switch]")) return;
    event.preventDefault();
    link.click();
  });
  // The pair chosen for a loop fills in the two ports it goes through.
  on("change", (event) => {
    const select = /** @type {HTMLSelectElement} */ (event.target);
    if (!select.matches("[data-pair]")) return;
    for (const name of ["send", "back"]) {
      const field = select.form?.elements.namedItem(name);
      if (field instanceof HTMLInputElement) field.value = select.selectedOptions[0].dataset[name] || "";
    }
  });
}
