// One stream of server-sent events per page. A region is an element with an id;
// an event replaces it. While the page is hidden the stream is closed, because a
// browser opens only six connections to a place.
import { tell } from "./forms.js";
import { playTone } from "./tones.js";
import { settle } from "./touch.js";

const silence = 1700; // ms without any event after which the connection counts as lost

// heardOf is the last sign of life of the daemon, as it counts them: what is sent
// names it, so that nothing is done that was touched long ago.
export let heardOf = "";

export function followStream(address) {
  if (!address) return;
  const lost = document.getElementById("lost");
  let source = null;
  let heard = Date.now();
  let last = "";

  // lose strikes what is shown, or shows it as live again.
  const lose = (gone) => {
    lost.hidden = !gone;
    if (gone) tell("");
    if (gone) document.body.dataset.lost = "";
    else delete document.body.dataset.lost;
  };
  const hear = (event) => {
    heard = Date.now();
    lose(false);
    if (event.lastEventId) last = event.lastEventId;
  };
  const open = () => {
    const at = new URL(address, location.href);
    if (last) at.searchParams.set("after", last); // a new EventSource does not send Last-Event-ID
    source = new EventSource(at);
    source.addEventListener("alive", (event) => {
      hear(event);
      heardOf = event.data;
    });
    source.addEventListener("regions", (event) => {
      hear(event);
      for (const [id, html] of Object.entries(JSON.parse(event.data))) replaceRegion(id, html);
    });
    source.addEventListener("tone", (event) => {
      hear(event);
      playTone(JSON.parse(event.data));
    });
    source.addEventListener("leave", (event) => location.assign(JSON.parse(event.data)));
    source.onerror = () => {
      lose(true);
      // A source that the server refused does not try again by itself.
      if (source.readyState === EventSource.CLOSED) setTimeout(reopen, 1000);
    };
  };
  const close = () => {
    source?.close();
    source = null;
  };
  const reopen = () => {
    if (document.hidden) return;
    heard = Date.now();
    close();
    open();
  };
  document.addEventListener("visibilitychange", () => (document.hidden ? close() : reopen()));
  let tried = 0;
  setInterval(() => {
    const since = Date.now() - heard;
    if (!source) return;
    if (since > silence) lose(true);
    if (!lost.hidden) lost.querySelector("span").textContent = Math.round(since / 1000) + " s";
    if (since > silence && Date.now() - tried > 2000) {
      tried = Date.now();
      source.close();
      open();
    }
  }, 200);
  open();
}

// What is under a finger is not replaced before the finger is gone: a touch that
// begins on one button and ends on its successor would be lost.
let pressed = null;
const waiting = new Map();
document.addEventListener("pointerdown", (event) => (pressed = event.target), true);
for (const kind of ["pointerup", "pointercancel"]) {
  document.addEventListener(kind, () => setTimeout(release), true); // after the click that it makes
}

function release() {
  pressed = null;
  for (const [id, html] of waiting) replaceRegion(id, html);
  waiting.clear();
}

// replaceRegion puts new content in the place of a region; what has the focus and
// what is half typed in it stays.
export function replaceRegion(id, html) {
  const old = document.getElementById(id);
  if (!old) return;
  if (pressed && old.contains(pressed)) {
    waiting.set(id, html);
    return;
  }
  const template = document.createElement("template");
  template.innerHTML = html.trim();
  const fresh = template.content.firstElementChild;
  if (!fresh || fresh.isEqualNode(old)) return;
  const focused = old.contains(document.activeElement) ? document.activeElement : null;
  for (const field of old.querySelectorAll("input[id], textarea[id], select[id], details[id]")) {
    const twin = fresh.querySelector("#" + CSS.escape(field.id));
    if (!twin) continue;
    if (field instanceof HTMLDetailsElement) twin.open ||= field.open && old.dataset.at === fresh.dataset.at; // a panel belongs to its step
    else if (kept(field, twin)) twin.value = field.value;
  }
  const next = id === "step" && old.querySelector("h1")?.textContent !== fresh.querySelector("h1")?.textContent;
  old.replaceWith(fresh);
  if (next) scrollTo(0, 0); // what comes next is seen
  const [was, is] = [old.dataset.title, fresh.dataset.title]; // the page's, before the name of the station
  if (is !== was) document.title = document.title.replace(was, () => is);
  if (fresh.querySelector("button, summary, select") && !old.isEqualNode(fresh)) settle(fresh);
  if (focused) twinOf(focused, old, fresh)?.focus({ preventScroll: true });
}

// twinOf finds in a new region what had the focus in the old one: by its id, else
// what is written the same, else the switch of the same details.
function twinOf(focused, old, fresh) {
  if (focused === old) return fresh;
  if (focused.id) return document.getElementById(focused.id);
  const same = [...fresh.querySelectorAll(focused.localName)].find((e) => e.isEqualNode(focused));
  if (same || focused.localName !== "summary") return same;
  return fresh.querySelector("#" + CSS.escape(focused.parentElement.id) + " > summary");
}

// kept reports whether what is in a field goes on: it belongs to the same thing,
// and is not on its way to the daemon.
function kept(field, twin) {
  return field.type !== "hidden" && twin.dataset.keep === field.dataset.keep && !field.form?.dataset.busy;
}
