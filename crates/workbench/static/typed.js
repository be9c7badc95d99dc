// What was typed and not yet saved: it outlives the page around it, and is saved when its field is left.
// @ts-check
import { every, isField, on, quoted, within } from "./hands.js";

/** @typedef {HTMLInputElement | HTMLTextAreaElement | HTMLSelectElement} Field */

/** Fields whose text is not saved. @type {Set<Field>} */
const open = new Set();
/** What is on its way. @type {Map<Field, string>} */
const underway = new Map();
/** What was refused of a form: it is not sent again as it is. @type {WeakMap<HTMLFormElement, string>} */
const refused = new WeakMap();

/** @param {Element | null} el */
export const isOpen = (el) => open.has(/** @type {Field} */ (el));
export const anyOpen = () => open.size > 0;

/** What a form is about: its fields that nobody types. @param {HTMLFormElement} form */
const about = (form) => [...form.querySelectorAll("input[type=hidden]")]
  .map((el) => /** @type {HTMLInputElement} */ (el)).filter((el) => el.name !== "base" && el.name !== "here").map((el) => `${el.name}=${el.value}`).join("&");

/** A name by which a field is found again. @param {Field} el */
function nameOf(el) {
  if (el.id) return `#${el.id}`;
  const within = el.closest("[data-key]") || el.form;
  const alike = within ? [...within.querySelectorAll(`[name=${quoted(el.name)}]`)].indexOf(el) : -1;
  const key = within?.getAttribute("data-key") ?? (el.form ? about(el.form) : "");
  return alike < 0 || !key ? "" : `${key}|${el.name}|${alike}`;
}

/** @param {string} name @returns {Field | null} */
function found(name) {
  if (name.startsWith("#")) return /** @type {Field | null} */ (document.getElementById(name.slice(1)));
  const [index, of, ...key] = name.split("|").reverse();
  const at = key.reverse().join("|");
  const within = every(`[data-key=${quoted(at)}]`)[0] || every("form[data-live]").find((form) => about(/** @type {HTMLFormElement} */ (form)) === at);
  return /** @type {Field | undefined} */ ([...(within?.querySelectorAll(`[name=${quoted(of)}]`) || [])][Number(index)]) || null;
}

/** What the page says a field holds. @param {Field} el */
const saidOf = (el) => ("defaultValue" in el ? el.defaultValue : "");
const shelf = () => `typed ${location.pathname}`;

/** Kept for the case that the whole page goes. */
function keep() {
  const all = [...open].map((el) => [nameOf(el), el.value, saidOf(el), whys.get(nameOf(el)) || ""]).filter(([name]) => name);
  try {
    if (all.length) sessionStorage.setItem(shelf(), JSON.stringify(all));
    else sessionStorage.removeItem(shelf());
  } catch { /* A browser that keeps nothing: the text stays in the page. */ }
}

/** @param {Field} el @param {string} value */
function put(el, value) {
  if (el.value !== value) el.value = value;
  open.add(el);
}

/** Replaces parts of the page, and carries over what was typed there, with the focus. @param {() => void} swap
 * @returns {string[]} what has no place any more */
export function carry(swap) {
  const was = [...open].map((el) => ({ el, name: nameOf(el), value: el.value }));
  const at = /** @type {Field | null} */ (isField(document.activeElement) ? document.activeElement : null);
  const name = at && nameOf(at);
  const marked = at && "selectionStart" in at ? [at.selectionStart, at.selectionEnd] : null;
  swap();
  const lost = [];
  for (const { el, name, value } of was) {
    if (el.isConnected) continue;
    open.delete(el);
    const again = name && found(name);
    if (again) put(again, value);
    else if (value) lost.push(value);
  }
  const again = at && !at.isConnected && name ? found(name) : null;
  again?.focus({ preventScroll: true });
  if (again && marked && marked[0] !== null && "setSelectionRange" in again) again.setSelectionRange(marked[0], marked[1]);
  keep();
  return lost;
}

/** What of a form is sent; tell it whether it was saved. @param {HTMLFormElement} form */
export function sending(form) {
  const sent = [...open].filter((el) => el.form === form).map((el) => ({ el, value: el.value }));
  for (const { el, value } of sent) underway.set(el, value);
  return (/** @type {boolean} */ saved) => {
    for (const { el, value } of sent) {
      if (underway.get(el) === value) underway.delete(el);
      if (!saved || el.value !== value) continue;
      open.delete(el);
      forgiven(el);
    }
    keep();
  };
}

/** @param {HTMLFormElement} form */
const textOf = (form) => JSON.stringify([...new FormData(form)].filter(([name]) => name !== "base" && name !== "here"));

/** Why what stands in a field was refused, by its name. @type {Map<string, string>} */
const whys = new Map();

/** Gives whether the refusal is told at its field. @param {HTMLFormElement} form @param {string} why */
export function wasRefused(form, why) {
  refused.set(form, textOf(form));
  const all = /** @type {Field[]} */ ([...form.elements].filter((el) => isField(el) && /** @type {Field} */ (el).type !== "hidden"));
  const el = all.find((el) => open.has(el)) || all[0];
  const name = el && nameOf(el);
  if (!name) return false;
  open.add(el);
  whys.set(name, why);
  mark();
  keep();
  return true;
}

/** Tells at each field why it was refused. */
export function mark() {
  for (const p of every("p.at-field")) p.remove();
  for (const [name, why] of whys) {
    const el = found(name);
    if (!el) continue;
    const p = document.createElement("p");
    p.className = "refused at-field";
    p.id = `why-${every("p.at-field").length}`;
    p.setAttribute("role", "alert");
    p.textContent = `Not saved. ${why[0].toUpperCase()}${why.slice(1)}.`;
    el.setAttribute("aria-invalid", "true");
    el.setAttribute("aria-describedby", p.id);
    (el.form || el.parentElement)?.append(p);
  }
}

/** What is changed or saved is not refused any more. @param {Field} el */
function forgiven(el) {
  el.removeAttribute("aria-invalid");
  if (whys.delete(nameOf(el))) mark();
}

/** Forms that are saved when they are left: those of one value, or of one place. @param {HTMLFormElement | null | undefined} form */
const isLeft = (form) => !!form?.matches("form.field[data-live]:not([data-clear]), form.place[data-live]:not([data-clear])");

/** Whether one of its fields has the focus. @param {HTMLFormElement} form @param {Element | null} at */
const holds = (form, at) => isField(at) && form.contains(at);
/** Whether all that is new in it is on its way. @param {HTMLFormElement} form */
export function isUnderway(form) {
  const all = [...open].filter((el) => el.form === form);
  return all.length > 0 && all.every((el) => underway.get(el) === el.value);
}

/** Sends what a form holds, if it holds anything new that can be meant. @param {HTMLFormElement} form */
function leave(form) {
  const fresh = [...open].some((el) => el.form === form && underway.get(el) !== el.value);
  if (!form.isConnected || !fresh) return;
  if (form.checkValidity() && refused.get(form) !== textOf(form)) form.requestSubmit();
}

/** Sends everything that was left while nobody answered. */
export function again() {
  const at = document.activeElement;
  for (const form of new Set([...open].map((el) => el.form))) {
    if (form && isLeft(form) && !holds(form, at)) leave(form);
  }
}

export function typed() {
  on("input", (event) => {
    const el = /** @type {Field} */ (event.target);
    if (!isField(el) || /checkbox|radio/.test(el.type) || !el.form?.hasAttribute("data-live")) return;
    if (el.nodeName !== "SELECT" && el.value === saidOf(el)) open.delete(el);
    else open.add(el);
    forgiven(el);
    keep();
  });
  on("change", (event) => {
    const select = within(event, "select");
    const form = /** @type {HTMLSelectElement | null} */ (select)?.form;
    if (form && isLeft(form)) leave(form);
  });
  on("focusout", (event) => {
    const el = /** @type {Field} */ (event.target);
    const form = el.form;
    // What arrived while it was held.
    if (form?.hasAttribute("data-live") && !open.has(el) && el.nodeName === "INPUT" && !/checkbox|radio/.test(el.type)) el.value = saidOf(el);
    const to = /** @type {Element | null} */ (event.relatedTarget);
    if (form && isLeft(form) && !holds(form, to)) setTimeout(() => leave(form));
  });
  try {
    const kept = JSON.parse(sessionStorage.getItem(shelf()) || "[]");
    for (const [name, value, said, why] of kept) {
      const el = found(name);
      // What somebody changed meanwhile is not written over.
      if (!el || el.value === value || saidOf(el) !== said) continue;
      put(el, value);
      if (why) whys.set(name, why);
    }
    mark();
    keep();
  } catch { /* Nothing was kept. */ }
}

