// No act by accident. After a region has changed, and after a page has come, nothing
// in it acts for a while, because a second touch of a heavy finger would land on what
// has taken the place of the first. A key that is drawn as off does nothing, and
// without a connection no key does.
import { tell } from "./forms.js";
import { playTone } from "./tones.js";

const settles = 850; // ms: 0.8 s, and what a busy device is off by
const opens = 1000; // ms, where keys have moved within their region

const changed = new Map(); // of a region, by its id: what ends its rest, and when

// settle has a region that has changed rest.
export function settle(region, rests = settles) {
  clearTimeout(changed.get(region.id)?.timer);
  region.classList.add("settling");
  const timer = setTimeout(() => document.getElementById(region.id)?.classList.remove("settling"), rests);
  changed.set(region.id, { timer, until: performance.now() + rests });
}

// rested reports whether nothing around the target rested at a time. A busy device hears
// of a touch late: what counts is when it was touched.
function rested(target, at) {
  for (let e = target.closest("[id]"); e; e = e.parentElement?.closest("[id]")) {
    if (changed.get(e.id)?.until > at) return false;
  }
  return true;
}

// moved has the region rest in which something was opened or shut: keys have moved there.
export function moved(details) {
  const region = details.closest("main :is(nav, section)[id]");
  if (region) settle(region, opens);
}

// seen brings what was opened where it is seen: a panel as high as it can be, what is
// opened in one as little as is needed.
function seen(details) {
  if (details.open && !details.matches(".up, .settings, #said")) details.scrollIntoView({ block: details.closest("#more") === details.parentElement ? "start" : "nearest" });
}

// why says why a touch at a time does nothing; empty: it may act.
function why(target, at = performance.now()) {
  if (!document.getElementById("lost").hidden && document.body.dataset.stream) return "lost";
  if (target.closest("[aria-disabled=true]")) return "off";
  return (target.closest(".settling") || !rested(target, at)) && !typed ? "settling" : "";
}

const acting = "button, summary, select, a.key, [type=submit]";

// typed is set while a key of the keyboard acts in a field: a form that is sent with
// Enter was typed, and is no second touch.
let typed = false;

// began is why the press that is under way may not act; empty: it may. What was pressed
// while it rested does not act when the finger is lifted later.
let began = "";

// refuse reports whether a touch of the target does nothing, and says so.
export function refuse(target, reason = why(target)) {
  if (!reason) return false;
  // A stray second touch says nothing: what the first has done stands on the page. Why
  // a key is off stands beside it.
  if (reason === "off") {
    tell("");
    playTone("refused");
  }
  return true;
}

export function guardTouches() {
  document.addEventListener("keydown", (event) => {
    typed = event.key === "Enter" && event.target.matches("input, textarea");
    if (typed) setTimeout(() => (typed = false));
  }, true);
  document.addEventListener("pointerdown", (event) => {
    const target = event.target.closest?.(acting);
    began = target?.closest("main") && !target.matches("[data-key]") ? why(target, event.timeStamp) : "";
  }, true);
  document.body.dataset.ready = "";
  settle(document.getElementById("main")); // which comes with that class, before any script runs
  const guard = (event, target, reason) => {
    if (!refuse(target, reason)) return;
    event.preventDefault();
    event.stopImmediatePropagation();
  };
  document.addEventListener("click", (event) => {
    const target = event.target.closest?.(acting);
    const reason = event.detail > 0 ? began : ""; // of a finger, not of a key
    began = "";
    if (target && target.closest("main") && !target.matches("[data-key]")) guard(event, target, reason || why(target));
  }, true);
  document.addEventListener("click", (event) => {
    const opened = event.target.closest?.("summary");
    if (!opened || event.defaultPrevented) return;
    moved(opened);
    setTimeout(() => seen(opened.parentElement)); // when it is open
  });
  document.addEventListener("submit", (event) => {
    if (event.target.closest("main")) guard(event, event.submitter ?? event.target);
  }, true);
}
