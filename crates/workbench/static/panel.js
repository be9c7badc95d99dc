// Holes on a plate: dragged or nudged in steps of a millimetre, each let go as one edit.
// @ts-check
import { arrow, carried, on, one, quoted, within } from "./hands.js";
import { shown } from "./deck.js";
import { edit, hold, say } from "./live.js";

/** @type {{ el: Element, dx: number, dy: number } | null} */
let held = null;

/** @param {number} dx @param {number} dy */
function show(dx, dy) {
  if (!held) return;
  Object.assign(held, { dx, dy });
  held.el.setAttribute("transform", `translate(${dx} ${-dy})`);
}

async function drop() {
  const h = held;
  held = null;
  if (!h) return;
  const tag = within(h.el, "[data-plate]")?.dataset.plate || "";
  const port = h.el.getAttribute("data-hole") || "";
  if ((h.dx || h.dy) && (await edit("hole", { tag, port, dx: h.dx, dy: h.dy }))) {
    say(`${port} moved ${shown(h.dx)} right, ${shown(h.dy)} up`);
  }
  one(`[data-hole=${quoted(port)}]`)?.removeAttribute("transform");
}

export function panel() {
  carried("[data-hole]", (el) => {
    const k = /** @type {SVGGraphicsElement} */ (/** @type {unknown} */ (el)).getScreenCTM()?.a || 1;
    hold(true);
    one(`[data-hole=${quoted(el.dataset.hole || "")}] [role=button]`)?.focus({ preventScroll: true });
    held = { el, dx: 0, dy: 0 };
    return {
      move: (dx, dy) => show(Math.round(dx / k), Math.round(-dy / k)),
      end(kept) {
        hold(false);
        if (!kept) show(0, 0);
        drop();
      },
    };
  });
  on("keydown", (event) => {
    const el = within(document.activeElement, "[data-hole]");
    const by = arrow(event);
    if (!el || !by) return;
    event.preventDefault();
    if (held?.el !== el) {
      drop();
      held = { el, dx: 0, dy: 0 };
    }
    show(held.dx + by[0], held.dy + by[1]);
  });
  on("keyup", (event) => {
    if (arrow(event)) drop();
  });
  on("focusout", drop);
}
