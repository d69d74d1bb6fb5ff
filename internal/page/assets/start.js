// The one screen on which a job begins. A code reader is a keyboard that ends with Enter:
// that moves to the next field that is empty, and begins nothing. What is known of the unit
// and the gauges of the procedure is fetched as it becomes known; what was chosen stays.
import { settle } from "./touch.js";

const form = document.getElementById("begin");
const serial = document.getElementById("serial");
const who = document.getElementById("technician");
const picked = () => form.querySelector("input[name=procedure]:checked");
const wanted = new Set(); // regions that no answer has brought yet
let asked = 0;

async function look(regions) {
  for (const id of regions) wanted.add(id);
  const mine = ++asked, fields = new URLSearchParams({ serial: serial.value, technician: who.value });
  if (picked()) fields.set("procedure", picked().value);
  const answer = await fetch("/start?" + fields).catch(() => null);
  if (!answer?.ok) {
    document.getElementById("lost").hidden = Boolean(answer);
    return;
  }
  const page = new DOMParser().parseFromString(await answer.text(), "text/html");
  if (mine !== asked) return; // something else was said meanwhile: its answer brings all that is wanted
  for (const id of wanted) {
    document.getElementById(id).replaceWith(page.getElementById(id));
    settle(document.getElementById(id)); // what has come does not act at once
  }
  wanted.clear();
  for (const hint of page.querySelectorAll("[data-hint]")) {
    const here = form.querySelector(`[data-hint="${CSS.escape(hint.dataset.hint)}"]`);
    if (here) here.textContent = hint.textContent;
  }
}

// A code reader may end with two keys: what it has moved on to is not pressed by the second.
const still = 500; // ms
let moved = -still;
function next() {
  moved = performance.now();
  const start = document.getElementById("start");
  const to = !serial.value.trim() ? serial : !picked() ? form.querySelector("input[name=procedure]") : who.type !== "hidden" && !who.value.trim() ? who : start;
  to?.focus();
}

form.addEventListener("keydown", (event) => {
  if (event.key !== "Enter" || !event.target.matches("input")) return;
  event.preventDefault();
  if (event.target.type === "radio") event.target.click();
  if (event.target === serial) look(["unit"]); // change does not come when nothing was left
  next();
});
form.addEventListener("change", (event) => {
  if (event.target === serial) look(["unit"]);
  else if (event.target.name === "procedure") look(["unit", "read", "bind", "go"]);
});

// A scan that begins on a key or a choice is a serial number all the same.
document.addEventListener("keydown", (event) => {
  if (event.key.length !== 1 || event.key === " " || event.ctrlKey || event.altKey || event.metaKey) return;
  if (document.activeElement.matches("input:not([type=radio]), select, textarea")) return;
  serial.value = "";
  serial.focus();
});

function pressed() {
  for (const key of form.querySelectorAll("[data-who]")) key.setAttribute("aria-pressed", String(key.dataset.who === who.value.trim()));
}
form.addEventListener("click", (event) => {
  if (event.detail === 0 && event.target.matches("#start, #next") && performance.now() - moved < still) event.preventDefault();
  const person = event.target.closest("[data-who]"), unit = event.target.closest("[data-serial]");
  if (person) who.value = person.dataset.who;
  if (unit) {
    serial.value = unit.dataset.serial;
    look(["unit"]);
    next();
  }
  // A finger on a procedure goes on to who works; the arrow keys still choose another one.
  if (event.detail > 0 && event.target.closest(".pick") && !who.value.trim()) setTimeout(() => who.focus());
  pressed();
});
who.addEventListener("input", pressed);
pressed();
