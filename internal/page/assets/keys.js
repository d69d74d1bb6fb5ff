// Keys for one hand in a glove, and a pedal that types: space and Enter do what the
// one key of the bar does, in every stage, when nothing else has the focus. Held for
// long they discard the last reading. A pad of digits types into the field that had
// it last.
import { playTone } from "./tones.js";
import { refuse } from "./touch.js";

const long = 1200; // ms that a key is held to discard

export function listenToKeys() {
  pressKeys();

  let field = null;
  document.addEventListener("focusin", (event) => {
    if (event.target.matches("input.pad")) field = event.target.id;
  });
  // Where the pad types, the device's own keyboard would only cover it.
  document.addEventListener("pointerdown", (event) => {
    if (event.target.matches("input.pad")) event.target.inputMode = "decimal";
  });
  document.addEventListener("click", (event) => { // a usual reason is written into its field
    const usual = event.target.closest("[data-reason]");
    if (usual) usual.form.elements.namedItem("reason").value = usual.textContent;
  });
  document.addEventListener("click", (event) => {
    const key = event.target.closest("[data-key]");
    if (!key) return;
    const pad = key.closest("form");
    const into = pad.querySelector("#" + CSS.escape(field ?? "pad-shown")) ?? pad.querySelector("input.pad");
    if (key.dataset.key === "clear") into.value = "";
    else if (key.dataset.key === "back") into.value = into.value.slice(0, -1);
    else if (key.dataset.key === "-") into.value = into.value.startsWith("-") ? into.value.slice(1) : "-" + into.value;
    else into.value += key.dataset.key === "." ? key.textContent.trim() : key.dataset.key;
    into.inputMode = "none";
    into.focus();
  });
}

// pressKeys lets a key act when it is let go, so that a long press is told from a
// short one.
function pressKeys() {
  let held = null; // timer of the key that is down
  let meant = null; // the key of the page that was there when it went down
  let last = null; // what discards the reading that was the last one then
  let discarding = false;
  const ours = (event) => (event.key === " " || event.key === "Enter") && !event.ctrlKey && !event.altKey && !event.metaKey;
  const free = () => document.activeElement === document.body || document.activeElement?.matches("#bar .key");
  document.addEventListener("keydown", (event) => {
    if (!ours(event) || !free() || !document.querySelector("#bar")) return;
    event.preventDefault();
    if (event.repeat || held !== null) return;
    meant = document.querySelector("#bar .key");
    if (meant && refuse(meant)) return;
    discarding = false;
    last = document.getElementById("discard-last");
    held = setTimeout(() => {
      discarding = last !== null;
      if (discarding) playTone("refused");
    }, long);
  });
  document.addEventListener("keyup", (event) => {
    if (!ours(event) || held === null) return;
    event.preventDefault();
    clearTimeout(held);
    held = null;
    const does = discarding ? last : meant;
    if (does?.isConnected) does.click();
    else playTone("refused"); // another key has taken its place
  });
}
