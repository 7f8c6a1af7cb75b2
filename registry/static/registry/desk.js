// Keys of the review desk: whatever names a key in `data-key` is clicked by it, never while somebody types. The list of
// keys is on the page, with a box that turns them off for good. Without this script the list stays hidden.
"use strict";

(() => {
  const list = document.getElementById("keys");
  if (!list) return;
  const STORE = "castlore-keys";
  const TYPED = "input:not([type=radio], [type=checkbox], [type=range]), textarea, select, [contenteditable]";
  const box = list.querySelector("input");

  const kept = () => {
    try {
      return localStorage.getItem(STORE);
    } catch {
      return null; // a browser that keeps nothing: the keys are on
    }
  };
  box.checked = kept() !== "off";
  box.addEventListener("change", () => {
    try {
      localStorage.setItem(STORE, box.checked ? "on" : "off");
    } catch {
      // then it holds for this page alone
    }
  });

  document.addEventListener("keydown", (event) => {
    if (!box.checked || event.defaultPrevented || event.repeat || event.isComposing) return;
    if (event.ctrlKey || event.metaKey || event.altKey || event.target.closest?.(TYPED)) return;
    const named = document.querySelector(`[data-key="${CSS.escape(event.key.toLowerCase())}"]`);
    if (!named || named.disabled) return;
    event.preventDefault();
    if (named.type === "radio") named.focus();
    named.click();
  });
  list.hidden = false;
})();
