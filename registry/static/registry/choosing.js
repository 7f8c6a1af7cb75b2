// Where a choice is answered at once, arrow keys only go through the choices: Space or Enter says which is meant. Once
// it is answered, somebody who uses keys goes on at what to look at next. Without this script a button answers.
"use strict";

(() => {
  let key = "";
  let held = null; // reached by arrows, not meant yet

  addEventListener("pointerdown", () => { key = ""; }, true);
  addEventListener("keydown", (event) => {
    key = event.key;
    if (!held || event.target !== held || ![" ", "Enter"].includes(key)) return;
    event.preventDefault();
    held = null;
    event.target.dispatchEvent(new Event("change", {bubbles: true}));
  }, true);
  addEventListener("change", (event) => {
    if (!event.isTrusted || event.target.type !== "radio" || !key.startsWith("Arrow")) return;
    event.stopImmediatePropagation();
    held = event.target;
  }, true);

  // What had the focus may be folded away with its answer.
  function goOn() {
    if (!key || document.activeElement !== document.body) return;
    const next = document.querySelector(".asking > .looking") ?? document.querySelector(".answer");
    next.tabIndex = -1;
    next.focus();
  }
  addEventListener("change", goOn);
  addEventListener("htmx:afterSettle", goOn);
})();
