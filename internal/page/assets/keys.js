// Keys for one hand in a glove: space and Enter take a reading when no field has
// the focus, and a pad of digits types into the field that had it last.

export function listenToKeys() {
  document.addEventListener("keydown", (event) => {
    if (event.key !== " " && event.key !== "Enter") return;
    if (event.repeat || event.ctrlKey || event.altKey || event.metaKey) return;
    if (document.activeElement !== document.body) return;
    const take = document.getElementById("take");
    if (!take) return;
    event.preventDefault();
    take.click();
  });

  let field = null;
  document.addEventListener("focusin", (event) => {
    if (event.target.matches("input.pad")) field = event.target.id;
  });
  // Where the pad types, the device's own keyboard would only cover it.
  document.addEventListener("pointerdown", (event) => {
    if (event.target.matches("input.pad")) event.target.inputMode = "decimal";
  });
  document.addEventListener("click", (event) => {
    const key = event.target.closest("[data-key]");
    if (!key) return;
    const pad = key.closest("form");
    const into = pad.querySelector("#" + CSS.escape(field ?? "pad-shown")) ?? pad.querySelector("input.pad");
    if (key.dataset.key === "back") into.value = into.value.slice(0, -1);
    else if (key.dataset.key === "-") into.value = into.value.startsWith("-") ? into.value.slice(1) : "-" + into.value;
    else into.value += key.dataset.key === "." ? key.textContent.trim() : key.dataset.key;
    into.inputMode = "none";
    into.focus();
  });

  // A code reader is a keyboard that ends with Enter: it moves on to the next
  // field instead of sending the form.
  document.addEventListener("keydown", (event) => {
    if (event.key !== "Enter" || !event.target.matches("input[data-next]")) return;
    event.preventDefault();
    document.getElementById(event.target.dataset.next)?.focus();
  });
}
