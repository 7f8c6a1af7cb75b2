// The comparison sheet as a PNG, for places that take no SVG: drawn from the same file, on this device. Without this
// script there is the SVG, and the browser's Print.
"use strict";

(() => {
  const WIDER = 2; // so that small letters stay sharp
  const link = document.querySelector("a[data-picture]");
  if (!link) return;

  async function drawn() {
    const picture = new Image();
    picture.src = link.href;
    await picture.decode();
    const canvas = Object.assign(document.createElement("canvas"), {width: picture.naturalWidth * WIDER, height: picture.naturalHeight * WIDER});
    canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
    return new Promise((done) => canvas.toBlob(done, "image/png"));
  }

  const button = Object.assign(document.createElement("button"), {type: "button", className: "quiet", textContent: gettext("Keep it as one picture (PNG)")});
  button.addEventListener("click", async () => {
    const words = button.textContent;
    button.disabled = true;
    button.textContent = gettext("Drawing …");
    try {
      const address = URL.createObjectURL(await drawn());
      Object.assign(document.createElement("a"), {href: address, download: link.pathname.split("/")[2] + ".png"}).click();
      URL.revokeObjectURL(address);
      button.textContent = words;
    } catch {
      button.textContent = gettext("It cannot be drawn here; keep the SVG");
    }
    button.disabled = false;
  });
  link.closest("p").after(Object.assign(document.createElement("p"), {className: "no-print"}));
  link.closest("p").nextElementSibling.append(button);
})();
