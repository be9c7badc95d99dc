// What every place shares: events, what was met, arrow keys, things that are carried by a pointer.
// @ts-check

/** @template {keyof DocumentEventMap} K @param {K} name @param {(event: DocumentEventMap[K]) => void} then @param {AddEventListenerOptions} [how] */
export const on = (name, then, how) => document.addEventListener(name, then, how);

/** What an event, or a thing, lies within. @param {Event | Element | null | undefined} from @param {string} selector @returns {HTMLElement | null} */
export function within(from, selector) {
  const el = from instanceof Event ? from.target : from;
  return el instanceof Element ? el.closest(selector) : null;
}

/** @param {string} selector @returns {HTMLElement | null} */
export const one = (selector) => document.querySelector(selector);
/** @param {string} selector @returns {HTMLElement[]} */
export const every = (selector) => [...document.querySelectorAll(selector)];
/** @param {string} text */
export const quoted = (text) => `"${CSS.escape(text)}"`;

/** @param {KeyboardEvent | MouseEvent} event */
export const isChord = (event) => event.ctrlKey || event.metaKey || event.altKey;
/** @param {Element | null} el */
export const isField = (el) => !!el && /^(INPUT|SELECT|TEXTAREA)$/.test(el.nodeName);

/** Steps to the right and up. @param {KeyboardEvent} event @returns {number[] | undefined} */
export function arrow(event) {
  const by = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] }[event.key];
  return by?.map((step) => step * (event.shiftKey ? 10 : 1));
}

/** @param {HTMLFormElement} form */
export function fieldsOf(form) {
  const fields = new URLSearchParams();
  for (const [name, value] of new FormData(form)) fields.append(name, String(value));
  return fields;
}

/** @typedef {{ move: (dx: number, dy: number, event: PointerEvent) => void, end: (kept: boolean) => void }} Hand */

/** Things that a pointer takes up, after some pixels, and lets go. @param {string} selector @param {(el: HTMLElement) => Hand} take */
export function carried(selector, take) {
  /** @type {{ id: number, x: number, y: number, el: HTMLElement, hand: Hand | null } | null} */
  let held = null;
  on("pointerdown", (event) => {
    const el = within(event, selector);
    if (el && event.button === 0) held = { id: event.pointerId, x: event.clientX, y: event.clientY, el, hand: null };
  });
  on("pointermove", (event) => {
    if (held?.id !== event.pointerId) return;
    const [dx, dy] = [event.clientX - held.x, event.clientY - held.y];
    if (!held.hand && Math.hypot(dx, dy) > 4) held.hand = take(held.el);
    held.hand?.move(dx, dy, event);
  });
  const end = (/** @type {PointerEvent} */ event) => {
    if (held?.id !== event.pointerId) return;
    held.hand?.end(event.type === "pointerup");
    held = null;
  };
  on("pointerup", end);
  on("pointercancel", end);
}
