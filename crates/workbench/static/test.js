// The Test place: recordings dropped on it, and who tests. It loads no other place's modules.
// @ts-check
import { asking } from "./asking.js";
import { every, on, one, within } from "./hands.js";
import { after, live, refresh, say } from "./live.js";

const tester = () => /** @type {HTMLInputElement | null} */ (one("#tester"));

/** Who tests goes with every answer. */
function named() {
  const by = tester()?.value.trim() || "";
  for (const field of every("form[data-by] input[name=by]")) /** @type {HTMLInputElement} */ (field).value = by;
}

/** @param {FileList | File[]} files */
async function keep(files) {
  const zone = one("#drop"), told = one("#dropped");
  if (!zone || !told) return;
  const of = /** @type {HTMLSelectElement} */ (one("#of")).value;
  for (const file of files) {
    told.textContent = `Reading ${file.name} …`;
    const to = `${zone.dataset.to}?name=${encodeURIComponent(file.name)}&of=${encodeURIComponent(of)}&by=${encodeURIComponent(tester()?.value.trim() || "")}`;
    try {
      const answer = await fetch(to, { method: "POST", body: file, headers: { "content-type": "audio/wav", accept: "application/json" } });
      const said = await answer.json().catch(() => ({ refused: `The program answered with ${answer.status} alone` }));
      if (!answer.ok) say(`${said.refused}.`, true);
    } catch {
      say("Nobody answered: the recording is not kept.", true);
    }
  }
  told.textContent = "";
  await refresh();
}

document.addEventListener("submit", named, true);
live();
asking();
on("change", (event) => {
  const field = /** @type {HTMLInputElement} */ (event.target);
  if (field.id === "tester") {
    localStorage.setItem("tester", field.value);
    named();
  } else if (field.id === "wav" && field.files) {
    keep([...field.files]).then(() => { field.value = ""; });
  } else if (within(event, ".t-found") && field.value.trim()) {
    named();
    field.form?.requestSubmit();
  }
});
for (const kind of ["dragover", "drop"]) {
  on(kind, (event) => {
    const drag = /** @type {DragEvent} */ (event);
    if (!drag.dataTransfer?.types.includes("Files")) return;
    drag.preventDefault();
    one("#drop")?.toggleAttribute("data-over", kind === "dragover");
    if (kind === "drop") keep([...drag.dataTransfer.files]);
  });
}
on("dragleave", () => one("#drop")?.removeAttribute("data-over"));
const start = () => {
  const field = tester();
  if (field && !field.value) field.value = localStorage.getItem("tester") || "";
  named();
};
after.push(start);
start();
document.documentElement.dataset.ready = "yes";
