// No act by accident. After a region has changed, and after a page has come, nothing
// in it acts for a while, because a second touch of a heavy finger would land on what
// has taken the place of the first. A key that is drawn as off does nothing, and
// without a connection no key does.
import { tell } from "./forms.js";
import { playTone } from "./tones.js";

export const settles = 800; // ms

const changed = new Map(); // what ends the rest of a region, by its id

// settle has a region that has changed rest.
export function settle(region) {
  clearTimeout(changed.get(region.id));
  region.classList.add("settling");
  changed.set(region.id, setTimeout(() => document.getElementById(region.id)?.classList.remove("settling"), settles));
}

// why says why a touch does nothing; empty: it may act.
function why(target) {
  if (!document.getElementById("lost").hidden && document.body.dataset.stream) return "lost";
  if (target.closest("[aria-disabled=true]")) return "off";
  return target.closest(".settling") && !typed ? "settling" : "";
}

const acting = "button, summary, select, a.key, [type=submit]";

// typed is set while a key of the keyboard acts in a field: a form that is sent with
// Enter was typed, and is no second touch.
let typed = false;

export function guardTouches() {
  document.addEventListener("keydown", (event) => {
    typed = event.key === "Enter" && event.target.matches("input, textarea");
    if (typed) setTimeout(() => (typed = false));
  }, true);
  document.body.dataset.ready = "";
  settle(document.getElementById("main")); // which comes with that class, before any script runs
  const guard = (event, target) => {
    const reason = why(target);
    if (!reason) return;
    event.preventDefault();
    event.stopImmediatePropagation();
    playTone("refused");
    if (reason === "settling") tell(document.querySelector("#told [data-settling]").dataset.settling);
  };
  document.addEventListener("click", (event) => {
    const target = event.target.closest?.(acting);
    if (target && target.closest("main") && !target.matches("[data-key]")) guard(event, target);
  }, true);
  document.addEventListener("submit", (event) => {
    if (event.target.closest("main")) guard(event, event.submitter ?? event.target);
  }, true);
}
