// Taps for one less and one more beside each number of a sighting. The number field holds the truth; without this
// script it is typed.
"use strict";

(() => {
  function tap(field, change, sign, word) {
    const button = document.createElement("button");
    button.type = "button";
    button.className = "quiet step";
    button.textContent = sign;
    button.setAttribute("aria-label", `${word}: ${field.dataset.steps}`);
    button.addEventListener("click", () => {
      const most = Number(field.max) || Infinity;
      const next = Math.min(Math.max((Number(field.value) || 0) + change, 0), most);
      field.value = next === 0 ? "" : String(next);
      field.dispatchEvent(new Event("input", { bubbles: true }));
    });
    return button;
  }

  document.querySelectorAll("input[data-steps]").forEach((field) => {
    const row = document.createElement("div");
    row.className = "steps-row";
    field.replaceWith(row);
    row.append(tap(field, -1, "−", gettext("One less")), field, tap(field, 1, "+", gettext("One more")));
  });
})();
