// Forms marked data-stay are sent without leaving the page; what follows comes
// over the stream. A refusal is shown in the words of the daemon.
import { playTone } from "./tones.js";

export function sendForms() {
  document.addEventListener("submit", async (event) => {
    const form = event.target;
    if (!form.hasAttribute("data-stay")) return;
    event.preventDefault();
    if (form.dataset.busy) return; // a second touch of a heavy finger
    form.dataset.busy = "yes";
    const fields = new URLSearchParams(new FormData(form, event.submitter));
    try {
      const answer = await fetch(form.action, { method: "POST", body: fields, headers: { "X-Script": "1" } });
      tell(answer.ok ? "" : await answer.text());
      if (answer.ok) form.reset();
      else playTone("refused");
    } catch {
      document.getElementById("lost").hidden = false;
      playTone("refused");
    } finally {
      delete form.dataset.busy;
    }
  });
}

export function tell(text) {
  const told = document.getElementById("told");
  told.hidden = text === "";
  told.querySelector("span").textContent = text;
}
