// Forms marked data-stay are sent without leaving the page; what follows comes
// over the stream. A refusal is shown in the words of the daemon. Where it asks back,
// the same form can be sent once more.
import { heardOf } from "./stream.js";
import { playTone } from "./tones.js";
import { moved } from "./touch.js";

const patience = 4000; // ms in which the daemon answers
const asks = 428; // the status with which the daemon asks whether something was meant
const asksWho = 401; // and who does it

export function sendForms() {
  document.addEventListener("submit", (event) => {
    const form = event.target;
    if (!form.hasAttribute("data-stay")) return;
    event.preventDefault();
    if (form.dataset.busy) return; // a second touch of a heavy finger
    tell("");
    send(form, new URLSearchParams(new FormData(form, event.submitter)));
  });
}

async function send(form, fields) {
  form.dataset.busy = "yes";
  try {
    const answer = await fetch(form.action, {
      method: "POST",
      body: fields,
      headers: { "X-Script": "1", "X-Heard": heardOf },
      signal: form.hasAttribute("data-long") ? null : AbortSignal.timeout(patience),
    });
    if (answer.ok) {
      tell("");
      form.reset();
      closed(form.closest("details[data-once]"));
      return;
    }
    if (answer.status === asksWho) {
      sendAway(form.action, fields);
      return;
    }
    tell(await answer.text(), answer.status === asks ? () => send(form, new URLSearchParams([...fields, ["sure", "1"]])) : null);
    playTone("refused");
  } catch {
    tell(document.querySelector("#told [data-unanswered]").dataset.unanswered);
    playTone("refused");
  } finally {
    delete form.dataset.busy;
  }
}

// sendAway sends the same form as a page of its own, on which the person says who they are.
function sendAway(action, fields) {
  const away = document.createElement("form");
  away.method = "post";
  away.action = action;
  for (const [name, value] of fields) away.append(Object.assign(document.createElement("input"), { type: "hidden", name, value }));
  document.body.append(away);
  HTMLFormElement.prototype.submit.call(away);
}

// closed shuts what was opened for one touch, so that a second one does not do
// the same again to the next thing; a new one may stand in its place already.
function closed(details) {
  if (!details) return;
  details.open = false;
  const now = document.getElementById(details.id) ?? details;
  now.open = false;
  moved(now);
}

// A message goes when it is touched, and a question at its no.
document.addEventListener("click", (event) => {
  if (event.target.closest("#told") && event.target.id !== "sure") tell("");
});

// tell shows why something was not done; again, when given, does it all the same.
export function tell(text, again = null) {
  const told = document.getElementById("told");
  told.hidden = text === "";
  told.querySelector("span").textContent = text;
  const sure = document.getElementById("sure");
  sure.hidden = document.getElementById("not-sure").hidden = again === null;
  sure.onclick = again;
}
