// Buttons that hand a page's address to what this device shares with: messages, mail, another device. Nobody else is
// asked. Where the browser has nothing of the kind they stay hidden; the address stands on the page as well.
"use strict";

(() => {
  if (!navigator.share) return;
  for (const button of document.querySelectorAll("button[data-share]")) {
    button.hidden = false;
    button.addEventListener("click", () => {
      const {share: url, title} = button.dataset;
      navigator.share({title, url}).catch(() => {}); // closed again, or nothing to share with
    });
  }
})();
