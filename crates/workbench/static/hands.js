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
/** Room of something drawn, on its sheet. @param {Element | null | undefined} el */
export const room = (el) => (el instanceof SVGGraphicsElement ? el.getBBox() : undefined);
/** Asks for data. @param {string} url @param {RequestInit} [how] */
export const ask = (url, how) => fetch(url, { ...how, headers: { ...how?.headers, accept: "application/json" } });
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

/** Things that a pointer takes up, after some pixels or at once, and lets go. @param {string} selector
 * @param {(el: HTMLElement, down: PointerEvent) => Hand | null} take @param {number} [after] */
export function carried(selector, take, after = 4) {
  /** @type {PointerEvent | null} */
  let down = null;
  /** @type {Hand | null | undefined} */
  let hand;
  const finish = (/** @type {boolean} */ kept) => {
    down = null;
    hand?.end(kept);
  };
  on("pointerdown", (event) => {
    // A second finger means the sheet, not what the first one holds.
    if (!event.isPrimary) return down && finish(false);
    const el = within(event, selector);
    if (!el || event.button !== 0) return;
    down = event;
    hand = after ? undefined : take(el, event);
  });
  on("pointermove", (event) => {
    if (down?.pointerId !== event.pointerId) return;
    const [dx, dy] = [event.clientX - down.clientX, event.clientY - down.clientY];
    const el = within(down, selector);
    if (hand === undefined && el && Math.hypot(dx, dy) > after) hand = take(el, down);
    hand?.move(dx, dy, event);
  });
  const end = (/** @type {PointerEvent} */ event) => {
    if (down?.pointerId === event.pointerId) finish(event.type === "pointerup");
  };
  on("pointerup", end);
  on("pointercancel", end);
}
