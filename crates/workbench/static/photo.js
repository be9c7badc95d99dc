// Measuring from photographs: pictures in, points dragged, lengths out. Loaded where it is wanted.
// @ts-check
import { ask, every, one } from "./hands.js";
import { after } from "./live.js";

// Whoever comes back to it finds a new page.
after.push(() => photo());

/** @typedef {[number, number]} Point */
/** @typedef {{ id: string, width: number, height: number, corners?: Point[], points?: Point[], jacks?: Point[], dragged?: boolean, byHand?: boolean, unsure?: boolean, url: string }} Shot */

const SVG = "http://www.w3.org/2000/svg";
/** @param {string} name @param {Record<string, string | number>} with_ @returns {any} */
function made(name, with_) {
  const el = document.createElementNS(SVG, name);
  for (const key in with_) el.setAttribute(key, String(with_[key]));
  return el;
}

export function photo() {
  const page = one("#photo");
  if (!page || page.dataset.ready) return;
  page.dataset.ready = "yes";
  const to = page.dataset.to || "";
  const per = page.dataset.unit === "in" ? 25.4 : 1;
  const digits = per === 1 ? 1 : 2;
  /** @type {Record<string, Shot>} */
  const shots = {};
  /** @type {Record<string, { name: string, role: string, connector: string }[]>} */
  const called = {};
  let turn = 0;
  const form = /** @type {HTMLFormElement} */ (one("#photo-form"));
  const figure = (/** @type {string} */ view) => /** @type {HTMLElement} */ (one(`.shot[data-view="${view}"]`));
  const tell = (/** @type {string} */ view, /** @type {string} */ text, bad = false) => {
    const p = /** @type {HTMLElement} */ (figure(view).querySelector(".told"));
    p.textContent = text;
    p.classList.toggle("wrong", bad);
  };

  for (const el of every(".shot")) {
    const view = el.dataset.view || "";
    const input = /** @type {HTMLInputElement} */ (el.querySelector("input[type=file]"));
    input.addEventListener("change", () => input.files?.[0] && take(view, input.files[0]));
    el.addEventListener("dragover", (event) => event.preventDefault());
    el.addEventListener("drop", (event) => {
      event.preventDefault();
      const file = event.dataTransfer?.files[0];
      if (file) take(view, file);
    });
    el.querySelector("[data-other]")?.addEventListener("click", () => input.click());
    el.querySelector("[data-again]")?.addEventListener("click", () => {
      const { id, width, height, url } = shots[view];
      shots[view] = { id, width, height, url };
      measure();
    });
    el.querySelector("[data-jack]")?.addEventListener("click", () => {
      const shot = shots[view];
      if (!shot?.points) return;
      const middle = [0, 1].map((k) => (shot.points || []).reduce((sum, p) => sum + p[k], 0) / 4);
      (shot.jacks ??= []).push(/** @type {Point} */ (middle));
      measure();
    });
  }
  for (const el of every("[name=paper]")) el.addEventListener("change", () => {
    for (const view in shots) if (!shots[view].dragged) delete shots[view].corners;
    for (const view in shots) if (!shots[view].byHand) delete shots[view].points;
    measure();
  });

  /** @param {string} view @param {File} file */
  async function take(view, file) {
    tell(view, "Reading the picture…");
    const answer = await ask(`${to}/take`, { method: "POST", body: file, headers: { "content-type": "application/octet-stream" } });
    const said = await answer.json().catch(() => ({ refused: "the picture did not arrive; try again" }));
    if (!answer.ok) return tell(view, said.refused, true);
    shots[view] = { ...said, url: `${to}/${said.id}` };
    delete called[view];
    draw(view);
    measure();
  }

  async function measure() {
    const mine = ++turn;
    if (!shots.above) {
      for (const view in shots) tell(view, "Now the picture from above.");
      return;
    }
    page?.setAttribute("aria-busy", "true");
    for (const view in shots) if (!shots[view].points) tell(view, "Looking for the sheet and the device…");
    const of = (/** @type {string} */ view) => {
      const shot = shots[view];
      return { id: shot.id, face: view, corners: shot.dragged ? shot.corners : null, points: shot.points || null, by_hand: !!shot.byHand, unsure: !!shot.unsure && !shot.byHand, jacks: shot.jacks || null };
    };
    const paper = /** @type {HTMLInputElement} */ (one("[name=paper]:checked")).value;
    const sides = Object.keys(shots).filter((view) => view !== "above").map(of);
    const answer = await ask(to, { method: "POST", headers: { "content-type": "application/json" }, body: JSON.stringify({ paper, above: of("above"), sides }) });
    const said = await answer.json().catch(() => ({ refused: "no answer; try again" }));
    if (mine !== turn) return;
    page?.removeAttribute("aria-busy");
    if (!answer.ok) return tell("above", said.refused, true);
    for (const view in shots) tell(view, "");
    for (const bad of said.unfit) {
      if (bad.corners) shots[bad.view].corners = bad.corners;
      offer(bad.view);
      tell(bad.view, `${bad.refused}: ${bad.remedy}.`, true);
    }
    if (said.above) {
      Object.assign(shots.above, { corners: said.above.corners, points: said.above.points || shots.above.points });
      if (!said.above.points) offer("above");
    }
    for (const side of said.sides || []) Object.assign(shots[side.face], { corners: side.corners, points: side.points, jacks: side.jacks });
    for (const view in shots) shots[view].unsure = !!said.unsure && !shots[view].byHand;
    for (const view in shots) draw(view);
    if (said.width) fill(said);
    if (said.flat) flat(said.flat);
  }

  /** Points to drag, where none were found. @param {string} view */
  function offer(view) {
    const { width: w, height: h } = shots[view];
    const box = (/** @type {number} */ by) => /** @type {Point[]} */ ([[w * by, h * (1 - by)], [w * (1 - by), h * (1 - by)], [w * (1 - by), h * by], [w * by, h * by]]);
    shots[view].corners ??= box(0.15);
    if (!shots[view].points) {
      shots[view].points = box(0.35);
      shots[view].byHand = true;
    }
  }

  /** @param {string} view */
  function draw(view) {
    const el = figure(view);
    const shot = shots[view];
    const box = /** @type {HTMLElement} */ (el.querySelector(".view"));
    box.hidden = false;
    /** @type {HTMLElement} */ (el.querySelector(".drop")).hidden = true;
    /** @type {HTMLElement} */ (el.querySelector(".after")).hidden = false;
    const size = shot.width / 100;
    const held = document.activeElement?.getAttribute("data-at");
    const svg = made("svg", { viewBox: `0 0 ${shot.width} ${shot.height}`, role: "group", "aria-label": "Picture with its points" });
    svg.append(made("image", { href: shot.url, width: shot.width, height: shot.height }));
    const line = (/** @type {Point[] | undefined} */ points, /** @type {string} */ name) => {
      if (!points) return;
      for (const under of ["under", ""]) svg.append(made("polygon", { class: `${name} ${under}`, points: points.map((p) => p.join()).join(" ") }));
    };
    line(shot.corners, "edge");
    line(shot.points, "rim");
    const names = ["front left", "front right", "back right", "back left"];
    /** @param {"corners" | "points" | "jacks"} of */
    const handles = (of) => (shot[of] || []).forEach((p, k) => {
      const what = of === "corners" ? `Corner of the sheet, ${names[k]}` : of === "points" ? `Corner of the ${view === "above" ? "top edge" : "face"}, ${k + 1} of 4` : `Jack ${k + 1}`;
      const g = made("g", { class: `handle ${of}`, tabindex: 0, role: "button", "aria-label": what, "data-at": `${view}.${of}.${k}`, transform: `translate(${p[0]} ${p[1]})` });
      g.append(made("circle", { r: size * 2.6, class: "grip" }));
      g.append(of === "points" ? made("rect", { x: -size * 0.6, y: -size * 0.6, width: size * 1.2, height: size * 1.2 }) : made("circle", { r: size * (of === "jacks" ? 0.8 : 1.2) }));
      g.append(made("path", { d: `M${-size * 1.8} 0H${size * 1.8}M0 ${-size * 1.8}V${size * 1.8}` }));
      svg.append(g);
      carry(g, svg, view, of, k);
    });
    handles("corners");
    handles("points");
    handles("jacks");
    box.replaceChildren(svg);
    if (held) /** @type {HTMLElement | null} */ (svg.querySelector(`[data-at="${held}"]`))?.focus();
  }

  /** @param {any} g @param {any} svg @param {string} view @param {"corners" | "points" | "jacks"} of @param {number} k */
  function carry(g, svg, view, of, k) {
    const shot = shots[view];
    const at = () => /** @type {Point[]} */ (shot[of])[k];
    const put = (/** @type {number} */ x, /** @type {number} */ y) => {
      /** @type {Point[]} */ (shot[of])[k] = [Math.min(Math.max(x, 0), shot.width - 1), Math.min(Math.max(y, 0), shot.height - 1)];
      g.setAttribute("transform", `translate(${at()[0]} ${at()[1]})`);
      const name = of === "corners" ? "edge" : "rim";
      if (of !== "jacks") for (const line of svg.querySelectorAll(`.${name}`)) line.setAttribute("points", (shot[of] || []).map((p) => p.join()).join(" "));
    };
    const done = () => {
      if (of === "corners") {
        shot.dragged = true;
        if (!shot.byHand) delete shot.points;
      } else shot.byHand = true;
      measure();
    };
    /** Four times as large, beside the finger. @type {any} */
    let loupe;
    const look = () => {
      const [w, h] = [shot.width / 16, shot.width / 16];
      if (!loupe) {
        loupe = made("svg", { class: "loupe", width: shot.width / 4, height: shot.width / 4 });
        loupe.append(made("image", { href: shot.url, width: shot.width, height: shot.height }), made("path", {}));
        svg.append(loupe);
      }
      const [x, y] = at();
      loupe.setAttribute("viewBox", `${x - w / 2} ${y - h / 2} ${w} ${h}`);
      loupe.setAttribute("x", x < shot.width / 2 ? shot.width * 0.75 : 0);
      loupe.lastChild.setAttribute("d", `M${x - w / 2} ${y}h${w}M${x} ${y - h / 2}v${h}`);
    };
    g.addEventListener("pointerdown", (/** @type {PointerEvent} */ down) => {
      if (down.button !== 0) return;
      down.preventDefault();
      g.focus();
      g.setPointerCapture(down.pointerId);
      const start = at();
      const scale = shot.width / svg.getBoundingClientRect().width;
      let moved = false;
      const move = (/** @type {PointerEvent} */ event) => {
        moved = true;
        put(start[0] + (event.clientX - down.clientX) * scale, start[1] + (event.clientY - down.clientY) * scale);
        look();
      };
      const end = () => {
        g.removeEventListener("pointermove", move);
        g.removeEventListener("pointerup", end);
        g.removeEventListener("pointercancel", end);
        loupe?.remove();
        loupe = null;
        if (moved) done();
      };
      g.addEventListener("pointermove", move);
      g.addEventListener("pointerup", end);
      g.addEventListener("pointercancel", end);
    });
    let waiting = 0;
    g.addEventListener("keydown", (/** @type {KeyboardEvent} */ event) => {
      const by = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
      if (of === "jacks" && (event.key === "Delete" || event.key === "Backspace")) return remove(view, k);
      if (!by) return;
      event.preventDefault();
      const step = event.shiftKey ? 10 : 1;
      put(at()[0] + by[0] * step, at()[1] + by[1] * step);
      clearTimeout(waiting);
      waiting = window.setTimeout(done, 400);
    });
  }

  /** The picture from above as the sheet lies, in millimetres. @param {any} said */
  function flat(said) {
    const el = /** @type {HTMLElement} */ (one("#photo-flat"));
    el.hidden = false;
    const [w, h] = said.sheet;
    const a = said.around;
    const svg = made("svg", { viewBox: `${-a} ${-a} ${w + 2 * a} ${h + 2 * a}`, role: "img", "aria-label": "The picture made square, to scale" });
    svg.append(made("image", { href: `${shots.above.url}/squared?${turn}`, x: -a, y: -a, width: w + 2 * a, height: h + 2 * a }));
    for (const [name, points] of [["edge", said.rim], ["rim", said.brought]]) {
      const at = points.map((/** @type {Point} */ [x, y]) => `${x},${h - y}`).join(" ");
      for (const under of ["under", ""]) svg.append(made("polygon", { class: `${name} ${under}`, points: at }));
    }
    const [x, y] = said.below;
    svg.append(made("path", { class: "below", d: `M${x - 6} ${h - y}h12M${x} ${h - y - 6}v12` }));
    el.querySelector(".view")?.replaceChildren(svg);
  }

  /** @param {string} view @param {number} k */
  function remove(view, k) {
    shots[view].jacks?.splice(k, 1);
    called[view]?.splice(k, 1);
    measure();
  }

  /** @param {string} name @returns {HTMLInputElement} */
  const input = (name) => /** @type {HTMLInputElement} */ (form.elements.namedItem(name));
  const shown = (/** @type {number} */ mm) => (mm / per).toFixed(digits);
  const plusMinus = (/** @type {any} */ length) => `± ${shown(length.within)}${length.sure ? "" : ", unsure: measure it"}`;

  /** What the pictures came to. @param {any} said */
  function fill(said) {
    form.hidden = false;
    for (const [key, length] of [["size.width", said.width], ["size.depth", said.depth], ["size.height", said.height]]) {
      const line = /** @type {HTMLElement} */ (form.querySelector(`[data-of="${key}"]`));
      const field = input(key);
      line.textContent = length ? plusMinus(length) : "take a picture of a side, or type it";
      if (!length || field.dataset.typed) continue;
      field.value = shown(length.mm);
      input(`within.${key}`).value = String(length.within);
      field.oninput = () => {
        field.dataset.typed = "yes";
        input(`within.${key}`).value = "";
        line.textContent = "typed";
      };
    }
    for (const view of ["above", "left", "right", "back", "front"]) input(`picture.${view}`).value = shots[view]?.id || "";
    const rows = /** @type {HTMLElement} */ (one("#photo-jacks"));
    const blank = /** @type {HTMLTemplateElement} */ (one("#photo-jack"));
    rows.replaceChildren();
    /** @type {Record<string, number>} */
    const counts = {};
    const taken = new Set();
    said.jacks.forEach((/** @type {any} */ jack, /** @type {number} */ n) => {
      const k = counts[jack.face] = (counts[jack.face] ?? -1) + 1;
      const names = (called[jack.face] ??= []);
      const usual = { right: ["IN", "in", "jack-6.35-ts"], left: ["OUT", "out", "jack-6.35-ts"], back: ["DC", "power", "barrel-5.5-2.1"] }[/** @type {string} */ (jack.face)] || ["J", "", ""];
      let name = usual[0];
      for (let more = 2; taken.has(name); more++) name = usual[0] + more;
      const words = (names[k] ??= { name, role: usual[1], connector: usual[2] });
      taken.add(words.name);
      const row = /** @type {HTMLElement} */ (/** @type {DocumentFragment} */ (blank.content.cloneNode(true)).firstElementChild);
      for (const el of /** @type {NodeListOf<HTMLInputElement>} */ (row.querySelectorAll("[data-name]"))) {
        const key = el.dataset.name || "";
        el.name = `port${n + 1}.${key}`;
        if (key === "offset") el.value = shown(jack.along.mm);
        else if (key === "height") el.value = shown(jack.high.mm);
        else if (key === "face") el.value = jack.face;
        else {
          el.value = words[/** @type {"name"} */ (key)];
          el.addEventListener("change", () => {
            words[/** @type {"name"} */ (key)] = el.value;
            certain();
          });
        }
      }
      const certain = () => {
        for (const [key, length] of [["offset", jack.along], ["height", jack.high]]) {
          const hidden = /** @type {HTMLInputElement} */ (row.querySelector(`[data-of="${key}"]`));
          hidden.name = `within.port.${words.name.replaceAll(".", "")}.${key}`;
          hidden.value = String(length.within);
          /** @type {HTMLElement} */ (row.querySelector(`[data-within="${key}"]`)).textContent = plusMinus(length);
        }
      };
      certain();
      row.querySelector("[data-drop]")?.addEventListener("click", () => remove(jack.face, k));
      rows.append(row);
    });
    const sums = /** @type {HTMLElement} */ (one("#photo-sums"));
    sums.replaceChildren();
    const cell = (/** @type {string} */ name, /** @type {string} */ value, /** @type {string} */ more) => {
      const div = document.createElement("div");
      for (const [tag, text] of [["dt", name], ["dd", value], ["dd", more]]) {
        const el = document.createElement(tag);
        el.textContent = text;
        if (text === more) el.className = "faint";
        div.append(el);
      }
      sums.append(div);
    };
    cell("Tilt", `${said.tilt}°`, "up to 20° will do");
    cell("Camera height", `${shown(said.camera)} ${page?.dataset.unit}`, "from the sheet");
    cell("Edges of the sheet", `${said.off} px`, "off where they are computed");
    cell("Bend of the lens", `${said.bend} %`, "taken out");
    if (said.unsure) cell("Device", "unsure", "its edges do not stand out: drag the points onto them in each picture");
    if (said.apart) cell("Pictures disagree", `${shown(said.apart)} ${page?.dataset.unit}`, "drag the points onto the edges of the device");
  }
}
