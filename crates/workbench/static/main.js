// Sets every behaviour up. Pages are links and forms first; these modules make them answer at once.
// @ts-check
import { after, live } from "./live.js";
import { strips } from "./strips.js";
import { asking } from "./asking.js";
import { measure } from "./measure.js";
import { table } from "./sheet.js";

/** What one place alone needs, by what is on it. @type {[string, () => Promise<void>][]} */
const parts = [
  ["#plan, [data-hole], [data-plate]", async () => {
    (await import("./deck.js")).deck();
    (await import("./panel.js")).panel();
  }],
  ["[data-outlet]", async () => (await import("./power.js")).hang()],
  ["#photo", async () => (await import("./photo.js")).photo()],
];
const load = () => {
  const here = parts.filter(([on]) => document.querySelector(on));
  for (const part of here) parts.splice(parts.indexOf(part), 1);
  return Promise.all(here.map(([, then]) => then()));
};

live();
strips();
asking();
measure();
table();
after.push(load);
await load();
document.documentElement.dataset.ready = "yes";
