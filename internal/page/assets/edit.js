// The copy of a file: the numbers of the lines follow the text, and a problem
// leads to its line with the cursor there.
const copy = document.getElementById("copy");
const numbers = document.getElementById("numbers");

function count() {
  const lines = copy.value.split("\n").length;
  if (lines === copy.rows) return;
  copy.rows = lines;
  numbers.replaceChildren();
  for (let n = 1; n <= lines; n++) {
    const span = document.createElement("span");
    span.id = "line-" + n;
    span.textContent = n;
    numbers.append(span, "\n");
  }
}

function lead(line, column) {
  const lines = copy.value.split("\n");
  let at = 0;
  for (let n = 0; n < line - 1 && n < lines.length; n++) at += lines[n].length + 1;
  const text = lines[line - 1] ?? "";
  copy.focus({ preventScroll: true });
  copy.setSelectionRange(at + Math.min(column - 1, text.length), at + text.length);
  for (const span of numbers.querySelectorAll(".here")) span.classList.remove("here");
  const number = document.getElementById("line-" + line);
  number?.classList.add("here");
  number?.scrollIntoView({ block: "center" });
}

copy.addEventListener("input", count);
for (const link of document.querySelectorAll("a[data-line]"))
  link.addEventListener("click", (event) => {
    event.preventDefault();
    lead(Number(link.dataset.line), Number(link.dataset.column));
  });

// Leaving with unsaved work asks first; a form that is sent takes the work along.
const begun = copy.value;
let sending = false;
document.querySelector("form.edit").addEventListener("submit", (event) => {
  sending = true;
  if (event.submitter?.value === "download") setTimeout(() => (sending = false), 1000); // the page stays
});
addEventListener("beforeunload", (event) => {
  if (!sending && (copy.dataset.unsaved || copy.value !== begun)) event.preventDefault();
});
count();
