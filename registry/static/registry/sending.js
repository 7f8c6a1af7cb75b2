// A form that is being sent says so on the button that was pressed, and is not sent twice. Without this script the
// browser alone shows that it is busy.
"use strict";

(() => {
  const PATIENCE = 15_000; // milliseconds after which it may be sent again: the network was lost, or a file came back
  const FOR_FILES = 120_000; // for one that sends files, where the browser does not tell when that was stopped
  const busy = new Map();

  function free(form) {
    const {button, words} = busy.get(form);
    button?.replaceChildren(...words);
    form.removeAttribute("aria-busy");
    busy.delete(form);
  }

  document.addEventListener("submit", (event) => {
    const form = event.target, button = event.submitter;
    if (event.defaultPrevented || (button?.formMethod || form.method) !== "post") return;
    if (busy.has(form)) {
      event.preventDefault();
      return;
    }
    busy.set(form, {button, words: [...(button?.childNodes ?? [])]});
    button?.replaceChildren(gettext("Sending …"));
    form.setAttribute("aria-busy", "true");
    const patience = form.enctype !== "multipart/form-data" ? PATIENCE : window.navigation ? 0 : FOR_FILES;
    if (patience) setTimeout(() => busy.has(form) && free(form), patience);
  });
  // Stopped by hand, or the network was lost.
  window.navigation?.addEventListener("navigateerror", () => [...busy.keys()].forEach(free));
  // A page that comes back from the browser's own store is as good as new.
  addEventListener("pageshow", () => [...busy.keys()].forEach(free));
})();
