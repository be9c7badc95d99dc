// Edits without leaving the page: one in flight, on the last acknowledged revision; fragments swapped by hash.
// @ts-check
import { ask, every, fieldsOf, isChord, isField, on, one, within } from "./hands.js";
import { gone, there } from "./there.js";
import { again, anyOpen, carry, isOpen, isUnderway, mark, sending, typed, wasRefused } from "./typed.js";

/** @typedef {{ id: string, hash: string, html: string }} Fragment */
/** @typedef {{ revision: number, here: string, said: string | null, later: boolean, fragments: Fragment[] }} Answer */

const body = document.body;
const client = Math.random().toString(36).slice(2);
let revision = Number(body.dataset.revision || 0);
let here = body.dataset.here || "";
/** The view asked for last, and how many were: an answer to an earlier wish leads nowhere. */
let bound = here;
let wishes = 0;
/** @type {Promise<unknown>} */
let line = Promise.resolve();
/** @type {Fragment[]} */
let held = [];
let isHeld = false;
/** What another made while a pointer is held. @type {(() => void) | null} */
let waiting = null;
let underway = 0;

/** What modules do after fragments changed. @type {(() => void)[]} */
export const after = [mark];
export const job = () => `/job/${encodeURIComponent(body.dataset.job || "")}`;
export const at = () => bound;

/** Says something to everybody. @param {string} text @param {boolean} [refused] */
export function say(text, refused) {
  const said = one("#said");
  if (!said) return;
  const p = document.createElement("p");
  p.textContent = text;
  if (refused) {
    p.className = "refused";
    p.setAttribute("role", "alert");
    const close = document.createElement("button");
    close.className = "btn small";
    close.textContent = "Close";
    close.onclick = () => said.replaceChildren();
    p.append(close);
  }
  said.replaceChildren(p);
  if (!refused) setTimeout(() => p.remove(), 2500);
}

/** While a pointer is held nothing is replaced beneath it; what is let go is sent first.
 * @param {boolean} on */
export function hold(on) {
  isHeld = on;
  if (!on) queueMicrotask(() => {
    if (isHeld) return;
    if (held.length) swap(held.splice(0));
    const then = waiting;
    waiting = null;
    delete body.dataset.waiting;
    then?.();
  });
}

const have = () => every("[data-hash]").map((el) => `${el.id}:${el.dataset.hash}`).join(",");

/** @param {Element} el */
const key = (el) => el.getAttribute("data-key") || el.id;

/** Makes `a` like `b` without replacing what is under focus. @param {Element} a @param {Element} b */
function morph(a, b) {
  const focused = document.activeElement;
  if (isOpen(a) || (a === focused && isField(a) && a.getAttribute("type") !== "checkbox")) {
    if (a.nodeName === "INPUT") a.setAttribute("value", b.getAttribute("value") ?? "");
    return;
  }
  // What the engines say follows; until then what they said before stays.
  if (a.hasAttribute("data-apart") && b.hasAttribute("data-later")) return a.setAttribute("data-later", "");
  // The view of the sheet is the hand's.
  for (const { name, value } of [...b.attributes]) {
    const as = a.id === "plan" && name === "viewBox" ? "data-fit" : name;
    if (a.getAttribute(as) !== value) a.setAttribute(as, value);
  }
  for (const { name } of [...a.attributes]) {
    if (!b.hasAttribute(name) && name !== "open" && name !== "data-fit") a.removeAttribute(name);
  }
  if (isField(a) && !a.hasAttribute("data-keep")) {
    const field = /** @type {HTMLInputElement} */ (a);
    if (a.nodeName === "INPUT") {
      field.value = b.getAttribute("value") ?? "";
      field.checked = b.hasAttribute("checked");
    }
    if (a.nodeName === "TEXTAREA") field.value = b.textContent ?? "";
  }
  children(a, b);
  if (a.nodeName === "SELECT" && a !== focused) {
    const chosen = [...a.querySelectorAll("option")].find((o) => o.hasAttribute("selected"));
    if (chosen) /** @type {HTMLSelectElement} */ (a).value = chosen.value;
  }
}

/** @param {Element} a @param {Element} b */
function children(a, b) {
  /** @type {Map<string, Element>} */
  const known = new Map();
  for (const kid of a.children) if (key(kid)) known.set(key(kid), kid);
  let spot = a.firstChild;
  for (const kid of [...b.childNodes]) {
    const name = kid instanceof Element ? key(kid) : "";
    let match = name ? known.get(name) : spot;
    if (!name && spot instanceof Element && key(spot) && kid instanceof Element) match = null;
    if (match && match.nodeName === kid.nodeName) {
      if (name) known.delete(name);
      if (match !== spot) a.insertBefore(match, spot);
      else spot = spot.nextSibling;
      if (match instanceof Element) morph(match, /** @type {Element} */ (kid));
      else if (match.nodeValue !== kid.nodeValue) match.nodeValue = kid.nodeValue;
    } else {
      a.insertBefore(kid, spot);
    }
  }
  while (spot) {
    const next = spot.nextSibling;
    spot.remove();
    spot = next;
  }
}

/** @param {Fragment[]} fragments */
function swap(fragments) {
  if (isHeld) {
    held = [...held.filter((f) => !fragments.some((g) => g.id === f.id)), ...fragments];
    return;
  }
  const focused = document.activeElement;
  const lost = carry(() => {
    for (const { id, hash, html } of fragments) {
      const el = document.getElementById(id);
      if (!el) continue;
      const fresh = document.createElement("template");
      fresh.innerHTML = html;
      const wrap = document.createElement("div");
      wrap.append(fresh.content);
      children(el, wrap);
      el.dataset.hash = hash;
    }
  });
  if (lost.length) say(`The field is gone in which you had typed: ${lost.join(", ")}`, true);
  if (focused?.id && !focused.isConnected) document.getElementById(focused.id)?.focus({ preventScroll: true });
  for (const done of after) done();
}

/** @param {Answer} answer @param {number} wish how many views had been asked for when this was @param {boolean} [own] */
function take(answer, wish, own) {
  // What is older than what stands here is dropped.
  if (answer.revision < revision) return;
  if (isHeld && !own && answer.revision > revision) {
    waiting = () => take(answer, wish);
    body.dataset.waiting = "";
    return;
  }
  revision = answer.revision;
  body.dataset.revision = String(revision);
  if (wish !== wishes) {
    // Somebody looks elsewhere by now.
    if (own) refresh();
    return;
  }
  if (answer.here && answer.here !== here) {
    here = bound = answer.here;
    history.replaceState(null, "", here);
  }
  swap(answer.fragments);
  // What takes longer follows; the hand may go on meanwhile.
  if (answer.later) refresh();
}

/** Asks for data; nothing where nobody answers, and then it is said. @param {string} url @param {RequestInit} how
 * @returns {Promise<{ answer: Response, told: any } | null>} */
async function heard(url, how) {
  try {
    const answer = await ask(url, { ...how, headers: { "x-have": have() } });
    const told = await answer.json().catch((error) => {
      // Whoever answers, but not with data, is there all the same.
      if (error instanceof SyntaxError) return { refused: `The program answered with ${answer.status} alone` };
      throw error;
    });
    return { answer, told };
  } catch {
    gone();
    return null;
  }
}

/** Asks for what changed on this page, or on another query of it. Gives whether anybody answered. @param {string} [to] */
export async function refresh(to) {
  if (to && to !== bound) {
    bound = to;
    wishes++;
  }
  const wish = wishes;
  const got = await heard(bound, {});
  if (got?.answer.ok) take(got.told, wish);
  else if (got) say(`${got.told.refused}.`, true);
  return !!got;
}

/** Shows another part of this page, at once or with the next edit.
 * @param {string} key @param {string} value @param {boolean} [withNext] */
export function look(key, value, withNext) {
  const [path, query] = bound.split("?");
  const all = new URLSearchParams(query || "");
  if (all.get(key) === value) return;
  all.set(key, value);
  const to = `${path}?${all}`;
  if (!withNext) return void refresh(to);
  bound = to;
  wishes++;
}

/** Sends one edit after those before it. Gives whether it was made.
 * @param {string} url @param {URLSearchParams} fields @param {HTMLFormElement} [form] @returns {Promise<boolean>} */
export function send(url, fields, form) {
  const saved = form && sending(form);
  // What is let go while another's change waits was meant for what was shown.
  const base = waiting && revision;
  underway++;
  const turn = line.then(async () => {
    fields.set("base", String(base ?? revision));
    fields.set("client", client);
    if (!fields.get("here")) fields.set("here", bound);
    const wish = wishes;
    // A page that is left at once still sends what is small.
    const keepalive = String(fields).length < 30000;
    const got = await heard(url, { method: "POST", body: fields, keepalive });
    underway--;
    const made = !!got?.answer.ok;
    saved?.(made);
    if (!got) {
      if (!form) say("Nobody answered. Whether the last edit was made shows when the program is back.", true);
      return false;
    }
    const told = got.told;
    if (made) {
      take(told, wish, true);
      if (told.said) say(told.said[0].toUpperCase() + told.said.slice(1));
      return true;
    }
    const isShown = form && !told.now && wasRefused(form, told.refused);
    if (!isShown) say(told.refused + (told.now ? ". Nothing was saved; the page shows today’s." : "."), true);
    await refresh();
    return false;
  });
  line = turn;
  return turn;
}

/** @param {string} act @param {Record<string, string | number>} fields */
export function edit(act, fields) {
  const all = new URLSearchParams({ act });
  for (const [name, value] of Object.entries(fields)) all.set(name, String(value));
  return send(`${job()}/edit`, all);
}

/** @param {{ revision: number, client: string }} event */
function told(event) {
  if (event.client !== client && (event.revision > revision || (event.client && event.revision === revision) || one("[data-wait]"))) refresh();
}

/** The program is back. */
async function back() {
  one("#said")?.replaceChildren();
  // A journal that was begun anew counts anew.
  revision = 0;
  if (!await refresh()) return;
  say("The program is back.");
  again();
}

export function live() {
  if (!body.dataset.job) return;
  on("submit", (event) => {
    const form = /** @type {HTMLFormElement} */ (event.target);
    if (!form.hasAttribute("data-live")) return;
    event.preventDefault();
    if (isUnderway(form)) return;
    send(form.getAttribute("action") || "", fieldsOf(form), form).then((made) => {
      if (!made) return;
      if (form.hasAttribute("data-clear")) form.reset();
      form.closest("details.ans")?.removeAttribute("open");
    });
  });
  // Links to another query of this page swap fragments instead of loading it anew.
  on("click", (event) => {
    const link = within(event, "a[data-pick]");
    if (!link || isChord(event) || event.shiftKey) return;
    event.preventDefault();
    refresh(link.getAttribute("href") || bound);
  });
  on("keydown", (event) => {
    const target = /** @type {Element} */ (event.target);
    const typing = isField(target) && target.getAttribute("type") !== "checkbox";
    const step = (event.ctrlKey || event.metaKey) && { z: event.shiftKey ? "redo" : "undo", y: "redo" }[event.key.toLowerCase()];
    if (step && !typing) {
      event.preventDefault();
      send(`${job()}/${step}`, new URLSearchParams());
    }
    if (event.key === "n" && !typing && !isChord(event)) next();
  });
  window.addEventListener("beforeunload", (event) => {
    if (underway > 1 || (one("#gone") && anyOpen())) event.preventDefault();
  });
  typed();
  there({ url: `${job()}/events`, told, ask: refresh, back });
}

/** Goes to the next finding, and round. */
function next() {
  const all = every("#side .f:not(.struck), #side .o");
  if (!all.length) return;
  const now = all.findIndex((el) => el.classList.contains("at"));
  all.forEach((el) => el.classList.remove("at"));
  const el = all[(now + 1) % all.length];
  el.classList.add("at");
  el.focus();
  el.scrollIntoView({ block: "nearest" });
}
