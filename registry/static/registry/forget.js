// Whoever signs out or erases the account leaves no sheet of their hunt behind on this device, and whoever signs in or
// makes an account finds none of who was here before. Notes that wait stay until they are sent, unless the account goes too.
"use strict";

(() => {
  const form = document.querySelector("form[data-forget]");
  form?.addEventListener("submit", () => {
    window.caches?.delete("hunt");
    if (form.dataset.forget === "all") window.indexedDB?.deleteDatabase("castlore-hunt");
  });
})();
