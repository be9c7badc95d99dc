// Power: a device is taken up and hung on another outlet, by pointer or by keys; what it costs is shown before.
// @ts-check
import { after, edit, hold, job } from "./live.js";

/** @typedef {{ outlet: string, cost: string, words: string }} Cost */

export function hang() {
  /** @type {{ tag: string, chip: HTMLElement, costs: Cost[], at: string | null, id: number | null, x: number, y: number } | null} */
  let up = null;
  /** @type {() => HTMLElement[]} */
  const rows = () => Array.from(document.querySelectorAll("[data-outlet]"));
  /** @param {Element} el */
  const home = (el) => el.closest("[data-outlet]")?.getAttribute("data-outlet") ?? null;

  function show() {
    for (const row of rows()) {
      const found = up?.costs.find((one) => one.outlet === row.dataset.outlet);
      const cell = row.querySelector(".cost");
      if (cell) {
        cell.className = `cost ${found ? found.cost : ""}`;
        cell.innerHTML = found && found.cost !== "pass" ? `<svg class="i" width="14" height="14" aria-hidden="true"><use href="#${found.cost}"/></svg> ` : "";
        if (found) cell.append(found.words);
      }
      row.classList.toggle("target", !!up && up.at === row.dataset.outlet);
    }
    document.body.classList.toggle("hanging", !!up);
    const live = document.getElementById("hang-live");
    if (!live) return;
    const found = up?.costs.find((one) => one.outlet === up?.at);
    const words = up && (up.at === "" ? "no outlet" : up.at && `${up.at}: ${found?.words || "not judged"}`);
    live.textContent = up ? `${up.tag} ${words ? `on ${words}` : "taken up"}` : "";
  }
  /** @param {HTMLElement} chip @param {number | null} id @param {number} x @param {number} y */
  async function take(chip, id, x, y) {
    const mine = { tag: chip.dataset.hang || "", chip, costs: [], at: null, id, x, y };
    up = mine;
    hold(true);
    chip.setAttribute("aria-pressed", "true");
    show();
    const answer = await fetch(`${job()}/moves/${encodeURIComponent(mine.tag)}`);
    if (answer.ok) mine.costs = await answer.json();
    if (up === mine) show();
  }
  /** @param {boolean} drop */
  function end(drop) {
    if (!up) return;
    const { tag, chip, at } = up;
    const here = home(chip);
    up = null;
    chip.style.transform = "";
    chip.setAttribute("aria-pressed", "false");
    show();
    hold(false);
    if (drop && at !== null && at !== here) edit("hang", { tag, outlet: at }).then(() => /** @type {HTMLElement | null} */ (document.querySelector(`[data-hang="${CSS.escape(tag)}"]`))?.focus());
  }
  /** @type {{ chip: HTMLElement, id: number, x: number, y: number } | null} */
  let down = null;
  document.addEventListener("pointerdown", (event) => {
    const chip = /** @type {HTMLElement | null} */ (/** @type {Element} */ (event.target).closest?.("[data-hang]"));
    if (chip && event.button === 0) down = { chip, id: event.pointerId, x: event.clientX, y: event.clientY };
  });
  document.addEventListener("pointermove", (event) => {
    if (down && down.id === event.pointerId && Math.hypot(event.clientX - down.x, event.clientY - down.y) > 4) {
      take(down.chip, down.id, down.x, down.y);
      down = null;
    }
    if (!up || up.id !== event.pointerId) return;
    up.chip.style.transform = `translate(${event.clientX - up.x}px, ${event.clientY - up.y}px)`;
    const over = document.elementFromPoint(event.clientX, event.clientY);
    const at = over && home(over);
    if (at !== up.at) {
      up.at = at;
      show();
    }
  });
  document.addEventListener("pointerup", () => {
    down = null;
    if (up?.id != null) end(true);
  });
  document.addEventListener("pointercancel", () => end(false));
  document.addEventListener("keydown", (event) => {
    const chip = /** @type {HTMLElement | null} */ (document.activeElement?.closest?.("[data-hang]") ?? null);
    if (!chip || event.ctrlKey || event.metaKey) return;
    if (event.key === "Enter" || event.key === " ") {
      event.preventDefault();
      if (up) return end(true);
      take(chip, null, 0, 0);
      if (up) up.at = home(chip);
      show();
    }
    if (!up) return;
    if (event.key === "Escape") end(false);
    const by = { ArrowDown: 1, ArrowRight: 1, ArrowUp: -1, ArrowLeft: -1 }[event.key];
    if (by) {
      event.preventDefault();
      const names = rows().map((row) => row.dataset.outlet || "");
      up.at = names[(names.indexOf(up.at || "") + by + names.length) % names.length];
      rows().find((row) => row.dataset.outlet === up?.at)?.scrollIntoView({ block: "nearest" });
      show();
    }
  });
  document.addEventListener("focusout", (event) => {
    if (up && up.id === null && event.target === up.chip) end(false);
  });
  after.push(() => {
    if (up && !up.chip.isConnected) end(false);
  });
}
