// What every page does: it follows its stream, sends its forms without leaving
// the page, and gives tones.
import { followStream } from "./stream.js";
import { sendForms } from "./forms.js";

followStream(document.body.dataset.stream);
sendForms();
document.querySelector("[data-print]")?.addEventListener("click", () => print());
