// Scans a bar code with the camera where the browser can; it is typed where it cannot.
"use strict";

(() => {
  const FORMATS = ["ean_13", "ean_8", "upc_a", "upc_e", "itf"];
  const LOOKS = 250; // milliseconds between two looks
  if (!("BarcodeDetector" in window) || !navigator.mediaDevices?.getUserMedia) return;

  function scanner(form) {
    const field = form.querySelector("[data-scan]");
    const button = Object.assign(document.createElement("button"), { type: "button", className: "quiet", textContent: gettext("Scan with the camera") });
    const told = Object.assign(document.createElement("p"), { className: "help" });
    told.setAttribute("role", "status");
    const video = Object.assign(document.createElement("video"), { muted: true, playsInline: true, className: "scanned", hidden: true });
    let stream = null;

    function stop(words = "") {
      stream?.getTracks().forEach((track) => track.stop());
      stream = null;
      video.hidden = true;
      button.textContent = gettext("Scan with the camera");
      told.textContent = words;
    }

    async function look(detector) {
      if (!stream) return;
      const [code] = await detector.detect(video).catch(() => []);
      if (!code) {
        setTimeout(look, LOOKS, detector);
        return;
      }
      field.value = code.rawValue;
      stop(interpolate(gettext("Read: %(code)s"), { code: code.rawValue }, true));
      form.requestSubmit();
    }

    button.addEventListener("click", async () => {
      if (stream) {
        stop();
        return;
      }
      try {
        const known = await BarcodeDetector.getSupportedFormats();
        const detector = new BarcodeDetector({ formats: FORMATS.filter((one) => known.includes(one)) });
        stream = await navigator.mediaDevices.getUserMedia({ video: { facingMode: "environment" } });
        video.srcObject = stream;
        video.hidden = false;
        button.textContent = gettext("Stop the camera");
        told.textContent = gettext("Hold the bars in the middle of the picture.");
        video.play().catch(() => {});
        look(detector);
      } catch {
        stop(gettext("The camera cannot be used. Type the digits under the bars."));
      }
    });
    const last = form.querySelector("[type=submit]");
    last.after(" ", button);
    form.append(told, video);
  }

  document.querySelectorAll("[data-scanner]").forEach(scanner);
})();
