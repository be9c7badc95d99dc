// Power: a device is taken up and hung on another outlet, by pointer or by keys; what it costs is shown before.
// @ts-check
import { carried, every, isChord, on, one, quoted, within } from "./hands.js";
import { after, edit, hold, job } from "./live.js";

/** @typedef {{ outlet: string, cost: string, words: string }} Cost */

export function hang() {
  /** @type {{ tag: string, chip: HTMLElement, costs: Cost[], at: string | null, byKey?: boolean } | null} */
  let up = null;
  const rows = () => every("[data-outlet]");
  /** @param {Element} el */
  const home = (el) => within(el, "[data-outlet]")?.dataset.outlet ?? null;

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
    const live = one("#hang-live");
    if (!live) return;
    const found = up?.costs.find((one) => one.outlet === up?.at);
    const words = up && (up.at === "" ? "no outlet" : up.at && `${up.at}: ${found?.words || "not judged"}`);
    live.textContent = up ? `${up.tag} ${words ? `on ${words}` : "taken up"}` : "";
  }
  /** @param {HTMLElement} chip @param {boolean} [byKey] */
  async function take(chip, byKey) {
    const mine = { tag: chip.dataset.hang || "", chip, costs: [], at: byKey ? home(chip) : null, byKey };
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
    if (drop && at !== null && at !== here) edit("hang", { tag, outlet: at }).then(() => one(`[data-hang=${quoted(tag)}]`)?.focus());
  }
  carried("[data-hang]", (chip) => {
    take(chip);
    return {
      move(dx, dy, event) {
        if (!up) return;
        chip.style.transform = `translate(${dx}px, ${dy}px)`;
        const over = document.elementFromPoint(event.clientX, event.clientY);
        const at = over && home(over);
        if (at === up.at) return;
        up.at = at;
        show();
      },
      end,
    };
  });
  on("keydown", (event) => {
    const chip = within(document.activeElement, "[data-hang]");
    if (!chip || isChord(event)) return;
    if (event.key === "Enter" || event.key === " ") {
      event.preventDefault();
      if (up) return end(true);
      take(chip, true);
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
  on("focusout", (event) => {
    if (up?.byKey && event.target === up.chip) end(false);
  });
  after.push(() => {
    if (up && !up.chip.isConnected) end(false);
  });
}
