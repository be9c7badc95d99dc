// Whether the program is there: the page hears from it all the time, says when it is gone, and goes on when it is back.
// @ts-check
import { one } from "./hands.js";

/** The program tells of itself every 5 s. */
const SILENCE = 12000;
const PAUSE = 1000;

/** @type {EventSource | null} */
let events = null;
let heard = 0;
let isGone = false;
/** @type {number | undefined} */
let soon;

/** @type {{ url: string, told: (data: any) => void, ask: () => Promise<boolean>, back: () => void }} */
let how;

/** Says that nobody answers. */
export function gone() {
  if (isGone) return;
  isGone = true;
  const p = document.createElement("p");
  p.id = "gone";
  p.className = "gone";
  p.setAttribute("role", "alert");
  p.textContent = "The program is gone: it was ended, or cannot be reached. What you have typed stays here and is saved when the program is back; start it again on the same shop.";
  one("#gone")?.remove();
  document.body.append(p);
  again();
}

/** @param {number} [pause] */
function again(pause = PAUSE) {
  rest();
  soon = setTimeout(listen, pause);
}

function rest() {
  events?.close();
  events = null;
  clearTimeout(soon);
}

function listen() {
  if (events || document.hidden) return;
  clearTimeout(soon);
  const mine = new EventSource(how.url);
  events = mine;
  heard = Date.now();
  const hear = () => { heard = Date.now(); };
  mine.onopen = () => {
    hear();
    if (!isGone) return;
    isGone = false;
    one("#gone")?.remove();
    how.back();
  };
  mine.addEventListener("beat", hear);
  mine.addEventListener("revision", (event) => {
    hear();
    how.told(JSON.parse(/** @type {MessageEvent} */ (event).data));
  });
  mine.onerror = async () => {
    if (events !== mine) return;
    rest();
    // A stream that ends may be a full house; that nobody answers is another matter.
    const late = new Promise((then) => setTimeout(then, 1500, false));
    if (await Promise.race([how.ask(), late])) again(5 * PAUSE);
    else if (isGone) again();
    else gone();
  };
}

/** @param {typeof how} by */
export function there(by) {
  how = by;
  setInterval(() => {
    if (!events || document.hidden || Date.now() - heard < SILENCE) return;
    heard = Date.now();
    events.onerror?.(new Event("error"));
  }, PAUSE);
  document.addEventListener("visibilitychange", () => (document.hidden ? rest() : listen()));
  listen();
}
