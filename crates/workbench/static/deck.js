// The deck: drag in steps of a millimetre, nudge, turn, lock, zoom. While a thing is dragged its group is only
// translated and a point is tested against rectangles in integers; the drop sends one edit.
// @ts-check
import { arrow, ask, carried, every, isChord, isField, on, one, quoted, room, within } from "./hands.js";
import { after, at, edit, hold, job, look, say } from "./live.js";

/** @typedef {{ tag: string, placed: boolean, locked: boolean, deck: string, at: number[], size: number[], turn: number, origin: number[],
 *   turns: [number, number, number, number, number, string][][], lined: { x: number[], y: number[] },
 *   leads: { class: string, own: number[], other: number[] }[] }} Facts */
/** @typedef {{ tag: string, dx: number, dy: number, facts: Facts | null, extra: SVGGElement, base: number[], parts: Element[], routes: Element[] }} Move */

const SVG = "http://www.w3.org/2000/svg";
/** @type {Move | null} */
let move = null;
/** Whether a pointer holds a device. */
let grip = false;
let flush = 0;
/** Whether the press that ends was a pull, whose click means nothing. */
let pulled = false;

const plan = () => /** @type {SVGSVGElement | null} */ (document.querySelector("svg#plan"));
/** @param {string} tag */
const groups = (tag) => every(`#plan [data-device=${quoted(tag)}]`);
/** @param {SVGSVGElement} svg */
const sheet = (svg) => ({ x: Number(svg.dataset.x), y: Number(svg.dataset.y), k: Number(svg.dataset.k) });
/** Looks at a part of the sheet until it is fitted again. @param {number[]} part */
const aim = (part) => plan()?.setAttribute("viewBox", part.join(" "));
const box = () => (plan()?.getAttribute("viewBox") || "0 0 1 1").split(" ").map(Number);

/** From the screen to the sheet. @param {SVGSVGElement} svg */
const back = (svg) => svg.getScreenCTM()?.inverse() ?? new DOMMatrix();
/** Where a pointer is on the sheet. @param {SVGSVGElement} svg @param {{ clientX: number, clientY: number }} event */
const spot = (svg, event) => new DOMPoint(event.clientX, event.clientY).matrixTransform(back(svg));

/** @param {string} text */
function tell(text) {
  const live = one("#live");
  if (live) live.textContent = text;
}

/** Millimetres with a true minus. @param {number} mm */
const figure = (mm) => String(Math.round(mm * 10) / 10).replace("-", "\u2212");
/** @param {number} mm */
function inches(mm) {
  const steps = Math.round((Math.abs(mm) / 25.4) * 64);
  let [top, bottom] = [steps % 64, 64];
  while (top && top % 2 === 0) [top, bottom] = [top / 2, bottom / 2];
  const text = [steps >= 64 || !top ? String(Math.floor(steps / 64)) : "", top ? `${top}/${bottom}` : ""].filter(Boolean).join(" ");
  return (mm < 0 && steps ? "\u2212" : "") + text;
}
const isInch = () => document.body.dataset.unit === "inch";
/** A length without its unit, as the page reads it. @param {number} mm */
const bare = (mm) => (isInch() ? inches(mm) : figure(mm));
/** @param {number} mm */
export const shown = (mm) => `${bare(mm)} ${isInch() ? "in" : "mm"}`;

/** @param {string} tag @param {number[]} home */
function begin(tag, home) {
  const svg = plan();
  if (!svg) return;
  hold(true);
  const extra = document.createElementNS(SVG, "g");
  extra.setAttribute("class", "dragging");
  svg.append(extra);
  /** @type {Move} */
  const mine = { tag, dx: 0, dy: 0, facts: null, extra, base: home, parts: groups(tag), routes: routes(tag) };
  move = mine;
  const deck = new URLSearchParams(at().split("?")[1] || "").get("deck");
  ask(`${job()}/drag/${encodeURIComponent(tag)}${deck ? `?deck=${encodeURIComponent(deck)}` : ""}`)
    .then((answer) => (answer.ok ? answer.json() : null))
    .then((facts) => {
      if (facts && move === mine) {
        mine.facts = facts;
        if (facts.leads.length) for (const el of mine.routes) el.classList.add("away");
        show();
      }
    })
    .catch(() => {});
}

/** @param {string} name @param {Record<string, string | number>} marks */
function part(name, marks) {
  const el = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(marks)) el.setAttribute(key, String(value));
  return el;
}

/** Where the dragged thing stands now, in micrometres of its deck. @param {Move} m @param {Facts} facts @param {SVGSVGElement} svg */
function stands(m, facts, svg) {
  if (facts.placed) return [facts.at[0] + m.dx * 1000, facts.at[1] + m.dy * 1000];
  // A thing without a place is taken from beside the board: its corner on the sheet tells where it would stand.
  const { x, y, k } = sheet(svg);
  const mm = (/** @type {number} */ v) => Math.round(v) * 1000;
  return [mm((m.base[0] - x) / k + m.dx) - facts.origin[0], mm((y - m.base[1]) / k + m.dy) - facts.origin[1]];
}

function show() {
  const svg = plan();
  const m = move;
  if (!svg || !m) return;
  const { x, y, k } = sheet(svg);
  for (const el of m.parts) el.setAttribute("transform", `translate(${m.dx * k} ${-m.dy * k})`);
  const facts = m.facts;
  if (!facts) return tell(`${m.tag} moved ${bare(m.dx)}, ${shown(m.dy)}`);
  const [px, py] = stands(m, facts, svg);
  const turned = facts.turn % 2 === 1;
  const wide = (facts.size[turned ? 1 : 0] / 1000) * k;
  const deep = (facts.size[turned ? 0 : 1] / 1000) * k;
  const sx = (/** @type {number} */ um) => x + ((um + facts.origin[0]) / 1000) * k;
  const sy = (/** @type {number} */ um) => y - ((um + facts.origin[1]) / 1000) * k;
  let clash = "";
  let near = Infinity;
  let to = "";
  for (const [left, front, right, back, wanted, what] of facts.turns[facts.turn]) {
    const away = Math.max(left - px, px - right, front - py, py - back);
    if (away < near) {
      near = away;
      to = what;
    }
    if (away < 0 && !clash) clash = `${what}: ${shown((wanted + away) / 1000)}, least ${shown(wanted / 1000)}`;
  }
  /** @type {Element[]} */
  const lines = [];
  if (facts.placed && (m.dx || m.dy)) {
    lines.push(part("rect", { class: "trace", x: sx(facts.at[0]), y: sy(facts.at[1]) - deep, width: wide, height: deep }));
  }
  if (facts.lined.x.includes(px)) lines.push(part("path", { class: "guide", d: `M${sx(px)} ${sy(py) - 60}V${sy(py) + 60}` }));
  if (facts.lined.y.includes(py)) lines.push(part("path", { class: "guide", d: `M${sx(px) - 60} ${sy(py)}H${sx(px) + 60}` }));
  for (const lead of facts.leads) {
    const from = `${sx(px + lead.own[0])} ${sy(py + lead.own[1])}`;
    const until = `${x + (lead.other[0] / 1000) * k} ${y - (lead.other[1] / 1000) * k}`;
    lines.push(part("path", { class: `elastic ${lead.class}`, d: `M${from}L${until}` }));
  }
  if (clash) lines.push(part("rect", { class: "clashing", x: sx(px), y: sy(py) - deep, width: wide, height: deep }));
  m.extra.replaceChildren(...lines);
  const by = facts.placed ? `, moved ${m.dx > 0 ? "+" : ""}${bare(m.dx)}, ${m.dy > 0 ? "+" : ""}${bare(m.dy)}` : "";
  const room = clash ? ` \u00b7 too near: ${clash}` : near < 1e9 ? ` \u00b7 ${shown(near / 1000)} to spare, ${to}` : "";
  tell(`${m.tag} x ${bare(px / 1000)}, y ${bare(py / 1000)}${by}${room}`);
}

/** Routes of the dragged thing's leads, which give way to straight elastics. @param {string} tag */
function routes(tag) {
  const named = new RegExp(`(^|[ ,])${tag.replace(/[.*+?^${}()|[\]\\]/g, "\\$&")}\\.`);
  return every("#plan g[data-lead]").filter((el) => named.test(el.getAttribute("data-label") || ""));
}

function settle() {
  hold(false);
  if (!move) return;
  for (const el of move.routes) el.classList.remove("away");
  move.extra.remove();
  for (const el of move.parts) el.removeAttribute("transform");
  move = null;
  tell("");
}

/** Sends the move as one edit; the thing stays where it was left until the answer is there. */
async function drop() {
  clearTimeout(flush);
  const m = move;
  const svg = plan();
  if (!m || !svg) return;
  if (!m.dx && !m.dy) return settle();
  const facts = m.facts;
  move = null;
  hold(false);
  m.extra.remove();
  tell("");
  for (const el of m.routes) el.classList.remove("away");
  const done = facts && !facts.placed
    ? ((p) => edit("place", { tag: m.tag, deck: facts.deck, x: `${p[0] / 1000} mm`, y: `${p[1] / 1000} mm`, unit: "mm" }))(stands(m, facts, svg))
    : edit("move", { tag: m.tag, dx: m.dx, dy: m.dy });
  if (!(await done)) for (const el of groups(m.tag)) el.removeAttribute("transform");
}

/** Shows a lead alone, or its row in the schedule. @param {string} lead */
function row(lead) {
  if (plan()?.matches(".routes")) look("lead", lead);
  else location.href = `${job()}/leads?lead=${encodeURIComponent(lead)}#lead-picked`;
}

/** Zooms about a point of the sheet. @param {number} by @param {DOMPoint} [about] */
function zoom(by, about) {
  const [x, y, w, h] = box();
  const p = about || new DOMPoint(x + w / 2, y + h / 2);
  const k = Math.min(Math.max(by, 20 / w), 4000 / w);
  aim([p.x - (p.x - x) * k, p.y - (p.y - y) * k, w * k, h * k]);
}

/** Fingers on the sheet, and where they are on the screen. @type {Map<number, number[]>} */
const fingers = new Map();

/** What lies between two fingers stays there. @param {number[]} was @param {number[]} is @param {number[]} other */
function pinch(was, is, other) {
  const svg = plan();
  if (!svg) return;
  pulled = true;
  const span = (/** @type {number[]} */ a) => Math.max(Math.hypot(a[0] - other[0], a[1] - other[1]), 1);
  const middle = (/** @type {number[]} */ a) => ({ clientX: (a[0] + other[0]) / 2, clientY: (a[1] + other[1]) / 2 });
  const held = spot(svg, middle(was));
  zoom(span(was) / span(is), held);
  const now = spot(svg, middle(is));
  const [x, y, w, h] = box();
  aim([x + held.x - now.x, y + held.y - now.y, w, h]);
}

function fit() {
  const svg = plan();
  svg?.setAttribute("viewBox", svg.dataset.fit || box().join(" "));
}

/** How the sheet lay when it was last looked at. */
let lay = { x: 0, y: 0, k: 0, deck: "" };

/** A new sheet shows the same part of the board; another deck is fitted. @param {SVGSVGElement} svg */
function stay(svg) {
  const was = lay;
  lay = { ...sheet(svg), deck: new URLSearchParams(at().split("?")[1] || "").get("deck") || "" };
  if (!was.k) return;
  if (was.deck !== lay.deck) return fit();
  const [x, y, w, h] = box();
  const by = lay.k / was.k;
  aim([lay.x + (x - was.x) * by, lay.y + (y - was.y) * by, w * by, h * by]);
}

/** What is laid over the plan or left out, as classes: cheaper to style by than asking the boxes each time. */
function overlays() {
  for (const el of every(".overlays input")) {
    const is = /** @type {HTMLInputElement} */ (el).checked;
    document.body.classList.toggle(el.id, is);
    document.body.classList.toggle(el.id.replace("show", "hide"), !is);
  }
}

function prepare() {
  const svg = plan();
  if (!svg) return;
  svg.dataset.fit ||= svg.getAttribute("viewBox") || "";
  stay(svg);
  for (const el of every("#plan [role=button]")) el.setAttribute("aria-describedby", "drag-help");
}

/** On a small screen the drawing opens as near as its letters want, about what is picked or where signal comes in. */
function open() {
  const k = (plan()?.getScreenCTM()?.a || 9) / 5;
  const at = room(one("#plan [aria-pressed=true]") || one("#plan [data-device]"));
  if (innerWidth > 760 || k > 0.6 || !at) return;
  const [x, y, w, h] = box();
  /** @param {number} middle @param {number} low @param {number} all */
  const along = (middle, low, all) => Math.max(low, Math.min(low + all * (1 - k), middle - (all * k) / 2));
  aim([along(at.x + at.width / 2, x, w), along(at.y + at.height / 2, y, h), w * k, h * k]);
}

export function deck() {
  if (!plan()) return;
  after.push(prepare);
  prepare();
  open();
  overlays();
  on("change", overlays);
  // A lead that is pressed tells of itself; one that is dragged gives way to what it lies on. On the plan of the
  // leads, devices stay where they are.
  carried("#plan:not(.routes)", (_, event) => {
    const svg = plan();
    const there = svg?.getScreenCTM();
    const lock = within(event, "[data-lock]")?.dataset.lock;
    if (!svg || !there) return null;
    if (lock) {
      drop();
      edit("lock", { tag: lock });
    }
    const lead = within(event, "[data-lead]");
    const under = lead ? document.elementsFromPoint(event.clientX, event.clientY) : [event];
    const tag = under.map((el) => within(el, "#plan [data-device]")).find(Boolean)?.dataset.device;
    const main = tag && document.getElementById(`plan-device-${tag}`);
    if (lock || !tag || !main) return null;
    const p = spot(svg, event);
    const bounds = room(main.querySelector(".not-placed, .outline"));
    const k = sheet(svg).k * there.a;
    let moved = false;
    drop();
    main.focus({ preventScroll: true });
    grip = true;
    begin(tag, bounds ? [bounds.x, bounds.y + bounds.height] : [p.x, p.y]);
    event.preventDefault();
    return {
      move(right, down) {
        const [dx, dy] = [Math.round(right / k), Math.round(-down / k)];
        if (!move || (dx === move.dx && dy === move.dy)) return;
        if (move.facts?.locked) return tell(`${tag} is locked`);
        moved = pulled = true;
        Object.assign(move, { dx, dy });
        show();
      },
      end(kept) {
        grip = false;
        if (!kept || !moved) settle();
        if (kept && (moved || !lead)) look("pick", tag, !!move && !!(move.dx || move.dy));
        drop();
      },
    };
  }, 0);
  on("wheel", (event) => {
    const svg = plan();
    if (!svg || !svg.contains(/** @type {Node} */ (event.target))) return;
    event.preventDefault();
    zoom(Math.exp(event.deltaY / 500), spot(svg, event));
  }, { passive: false });
  on("click", (event) => {
    const lead = within(event, "#plan [data-lead]");
    if (lead && !pulled) row(lead.dataset.lead || "");
    pulled = false;
    const how = within(event, "[data-zoom]")?.dataset.zoom;
    if (how === "fit") fit();
    else if (how) zoom(how === "in" ? 0.8 : 1.25);
  });
  // The sheet is moved by its ground.
  carried("#plan", (_, down) => {
    const svg = plan();
    const there = svg?.getScreenCTM();
    if (!svg || !there || grip || within(down, ".routes [data-lead]")) return null;
    // Two fingers move and zoom the sheet together.
    if (1 < fingers.size) return null;
    const [x, y, w, h] = box();
    svg.classList.add("panning");
    pulled = true;
    return {
      move: (dx, dy) => aim([x - dx / there.a, y - dy / there.d, w, h]),
      end: () => svg.classList.remove("panning"),
    };
  });
  // A lead is pulled over a place where it is tied down.
  carried("#plan.routes [data-lead]", (el) => {
    const lead = el.dataset.lead || "";
    const svg = /** @type {SVGSVGElement} */ (plan());
    const ends = every(`#plan [data-lead=${quoted(lead)}] circle`).map((dot) => `${dot.getAttribute("cx")} ${dot.getAttribute("cy")}`);
    const line = part("path", { class: "elastic pulled" });
    svg.append(line);
    hold((pulled = true));
    let [x, y] = [0, 0];
    return {
      move(_dx, _dy, event) {
        const p = spot(svg, event);
        const on = sheet(svg);
        [x, y] = [Math.round((p.x - on.x) / on.k), Math.round((on.y - p.y) / on.k)];
        line.setAttribute("d", `M${ends[0]}L${p.x} ${p.y}${ends[1] ? `L${ends[1]}` : ""}`);
        tell(`${lead} over x ${shown(x)}, y ${shown(y)}`);
      },
      end(kept) {
        line.remove();
        tell("");
        hold(false);
        if (kept) edit("tie", { lead, x: `${x} mm`, y: `${y} mm` });
      },
    };
  });
  on("pointerdown", (event) => {
    if (event.pointerType === "touch" && within(event, "#plan")) fingers.set(event.pointerId, [event.clientX, event.clientY]);
  });
  on("pointermove", (event) => {
    const was = fingers.get(event.pointerId);
    const other = [...fingers].find(([id]) => id !== event.pointerId)?.[1];
    if (!was) return;
    fingers.set(event.pointerId, [event.clientX, event.clientY]);
    if (other) pinch(was, [event.clientX, event.clientY], other);
  });
  for (const name of /** @type {const} */ (["pointerup", "pointercancel"])) on(name, (event) => fingers.delete(event.pointerId));
  on("keydown", keys);
  on("keyup", (event) => {
    if (arrow(event) && move && !grip) drop();
  });
  on("focusout", () => {
    if (move && !grip) drop();
  });
}

/** @param {KeyboardEvent} event */
function keys(event) {
  const focused = document.activeElement;
  if (isChord(event) || !plan()) return;
  const typing = isField(focused);
  if (!typing && event.key.toLowerCase() === "f") return fit();
  if (!typing && (event.key === "+" || event.key === "-")) return zoom(event.key === "+" ? 0.8 : 1.25);
  const group = within(focused, "#plan [role=button]");
  if (group?.dataset.lead && (event.key === "Enter" || event.key === " ")) {
    event.preventDefault();
    return row(group.dataset.lead);
  }
  // With no focus, keys mean what is picked.
  const tag = group?.dataset.device || (typing ? "" : new URLSearchParams(at().split("?")[1] || "").get("pick"));
  if (!tag) return;
  const by = arrow(event);
  if (by && group) {
    event.preventDefault();
    if (group.querySelector(".not-placed")) return say("Drag it onto the board, or type its place.");
    if (!move || move.tag !== tag) {
      drop();
      begin(tag, [0, 0]);
    }
    if (!move) return;
    if (move.facts?.locked) {
      settle();
      return say(`${tag} is locked`);
    }
    move.dx += by[0];
    move.dy += by[1];
    show();
    // A key that is held gathers into one edit, sent when it is let go; this is for a lost key-up.
    clearTimeout(flush);
    flush = window.setTimeout(drop, 1500);
    return;
  }
  const act = { r: "turn", l: "lock", u: "under" }[event.key.toLowerCase()];
  if (act && !typing) {
    drop();
    edit(act, { tag });
  } else if ((event.key === "Enter" || event.key === " ") && group) {
    event.preventDefault();
    look("pick", tag);
  } else if (event.key === "Escape" && move) {
    settle();
  }
}
