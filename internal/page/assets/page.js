// What every page does: it follows its stream, sends its forms without leaving
// the page, and gives tones.
import { followStream } from "./stream.js";
import { sendForms } from "./forms.js";
import { listenToKeys } from "./keys.js";
import { switchSound } from "./tones.js";
import { guardTouches } from "./touch.js";

guardTouches(); // first: it stops what the others would act on
followStream(document.body.dataset.stream);
sendForms();
listenToKeys();
switchSound();
// The settings lie over the page until they are closed.
const settings = document.querySelector(".settings");
settings.querySelector("[data-close]").addEventListener("click", () => settings.open = false);
settings.addEventListener("keydown", (event) => { if (event.key === "Escape") settings.open = false; });
document.querySelector("[data-print]")?.addEventListener("click", () => print());
