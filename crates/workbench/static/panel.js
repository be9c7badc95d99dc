// Holes on a plate: dragged or nudged in steps of a millimetre, each let go as one edit.
// @ts-check
import { edit, hold, say } from "./live.js";

/** @type {{ el: SVGGElement, dx: number, dy: number, from: DOMPoint | null, back: DOMMatrix, pointer: number } | null} */
let held = null;

/** @param {Element} el @param {number} pointer @param {DOMPoint | null} from */
function take(el, pointer, from) {
  const svg = /** @type {SVGSVGElement} */ (el.closest("svg"));
  held = { el: /** @type {SVGGElement} */ (el), dx: 0, dy: 0, from, pointer, back: svg.getScreenCTM()?.inverse() ?? new DOMMatrix() };
}

function show() {
  if (held) held.el.setAttribute("transform", `translate(${held.dx} ${-held.dy})`);
}

async function drop() {
  const h = held;
  held = null;
  if (!h) return;
  const tag = h.el.closest("[data-plate]")?.getAttribute("data-plate") || "";
  const port = h.el.getAttribute("data-hole") || "";
  if ((h.dx || h.dy) && (await edit("hole", { tag, port, dx: h.dx, dy: h.dy }))) {
    say(`${port} moved ${h.dx} right, ${h.dy} up, in mm`.replace(/-/g, "\u2212"));
  }
  document.querySelector(`[data-hole="${CSS.escape(port)}"]`)?.removeAttribute("transform");
}

export function panel() {
  document.addEventListener("pointerdown", (event) => {
    const el = /** @type {Element} */ (event.target).closest?.("[data-hole]");
    if (!el || event.button !== 0) return;
    event.preventDefault();
    /** @type {SVGElement | null} */ (el.querySelector("[role=button]"))?.focus({ preventScroll: true });
    el.setPointerCapture(event.pointerId);
    hold(true);
    take(el, event.pointerId, null);
    if (held) held.from = new DOMPoint(event.clientX, event.clientY).matrixTransform(held.back);
  });
  document.addEventListener("pointermove", (event) => {
    if (!held?.from || held.pointer !== event.pointerId) return;
    const p = new DOMPoint(event.clientX, event.clientY).matrixTransform(held.back);
    held.dx = Math.round(p.x - held.from.x);
    held.dy = Math.round(held.from.y - p.y);
    show();
  });
  for (const name of ["pointerup", "pointercancel"]) {
    document.addEventListener(name, (event) => {
      if (!held?.from || held.pointer !== /** @type {PointerEvent} */ (event).pointerId) return;
      hold(false);
      if (name === "pointercancel") held.dx = held.dy = 0;
      drop();
    });
  }
  document.addEventListener("keydown", (event) => {
    const el = document.activeElement?.closest("[data-hole]");
    const by = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] }[event.key];
    if (!el || !by || held?.from) return;
    event.preventDefault();
    if (held?.el !== el) {
      drop();
      take(el, -1, null);
    }
    if (!held) return;
    held.dx += by[0] * (event.shiftKey ? 10 : 1);
    held.dy += by[1] * (event.shiftKey ? 10 : 1);
    show();
  });
  document.addEventListener("keyup", (event) => {
    if (event.key.startsWith("Arrow") && held && !held.from) drop();
  });
  document.addEventListener("focusout", () => {
    if (held && !held.from) drop();
  });
}
