// Sets every behaviour up. Pages are links and forms first; these modules make them answer at once.
// @ts-check
import { live } from "./live.js";
import { deck } from "./deck.js";
import { strips } from "./strips.js";
import { hang } from "./power.js";
import { asking } from "./asking.js";
import { panel } from "./panel.js";
import { measure } from "./measure.js";
import { table } from "./sheet.js";

live();
deck();
strips();
hang();
asking();
panel();
measure();
table();
document.documentElement.dataset.ready = "yes";
