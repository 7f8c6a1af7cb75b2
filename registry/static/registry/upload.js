// Send chosen pictures one after another, with progress. A dropped connection is waited for, and what was chosen is
// kept; the site knows a picture again by its bytes, so none is there twice. Without this script the form sends them.
"use strict";

(() => {
  const WAITS = [2, 5, 10, 20, 30]; // seconds before trying again
  const made = (name, text, into) => {
    const one = document.createElement(name);
    one.textContent = text;
    into?.append(one);
    return one;
  };
  const quietly = (text, does, into) => {
    const one = made("button", text, into);
    Object.assign(one, { type: "button", className: "quiet" });
    one.addEventListener("click", does);
    return one;
  };

  function enhance(form) {
    const inputs = [...form.querySelectorAll('input[type="file"]')];
    const button = form.querySelector('button[type="submit"]');
    let waiting = []; // files not sent yet, in order
    let isSending = false;
    let goOn = () => {};

    const tray = document.createElement("div");
    tray.className = "tray";
    made("p", gettext("You can drop pictures here too."), tray).className = "soft";
    const list = made("ul", "", tray);
    const told = made("p", "", tray);
    told.setAttribute("role", "status");
    const bar = made("progress", "", tray);
    Object.assign(bar, { max: 100, hidden: true });
    bar.setAttribute("aria-label", gettext("How much of this picture is sent"));
    const part = made("p", "", tray);
    part.className = "soft";
    const fill = (percent) => {
      bar.value = percent;
      part.textContent = percent ? interpolate(gettext("%(percent)s percent of it is sent"), { percent: Math.round(percent) }, true) : "";
    };
    const now = quietly(gettext("Try now"), () => goOn(), tray);
    now.hidden = true;
    button.closest(".actions").before(tray);

    const show = () => list.replaceChildren(...waiting.map((file) => {
      const entry = made("li", file.name + " ");
      const out = quietly(gettext("Leave out"), () => { waiting = waiting.filter((other) => other !== file); show(); }, entry);
      made("span", ` ${file.name}`, out).className = "unseen";
      out.hidden = isSending;
      return entry;
    }));
    const choose = (files) => {
      const known = (file) => waiting.some((other) => ["name", "size", "lastModified"].every((part) => other[part] === file[part]));
      [...files].filter((file) => !known(file)).forEach((file) => waiting.push(file));
      told.textContent = "";
      show();
    };

    const attempt = (file) => new Promise((settle) => {
      const said = new FormData(form);
      said.delete("photos");
      said.append("photos", file);
      const request = new XMLHttpRequest();
      const drop = () => request.abort();
      const end = (status, answer) => { removeEventListener("offline", drop); settle({ status, answer }); };
      request.upload.addEventListener("progress", (at) => { if (at.lengthComputable) fill((at.loaded / at.total) * 100); });
      request.addEventListener("load", () => end(request.status, request.response));
      ["error", "abort", "timeout"].forEach((name) => request.addEventListener(name, () => end(0, null)));
      addEventListener("offline", drop);
      request.open("POST", form.action);
      request.setRequestHeader("Accept", "application/json");
      request.responseType = "json";
      request.send(said);
    });
    const pause = (seconds) => new Promise((go) => {
      const timer = navigator.onLine ? setTimeout(() => goOn(), seconds * 1000) : null;
      goOn = () => { clearTimeout(timer); removeEventListener("online", goOn); now.hidden = true; go(); };
      addEventListener("online", goOn);
      now.hidden = false;
    });

    // What became of one picture: null once it is kept, else why not. Tries again for as long as nobody answers.
    async function send(file, which, of) {
      for (let tries = 0; ; tries += 1) {
        told.textContent = interpolate(gettext("Sending %(which)s of %(all)s: %(name)s"), { which, all: of, name: file.name }, true);
        const { status, answer } = await attempt(file);
        if (status === 200 && answer) return null;
        if (status === 200) return interpolate(gettext("%(name)s: you are signed out. Sign in in another tab, then send it again."), { name: file.name }, true);
        if (status !== 0 && status < 500) return answer?.refused ?? interpolate(gettext("%(name)s: the site did not take it. Reload the page, then send it again."), { name: file.name }, true);
        fill(0);
        told.textContent = interpolate(gettext("The connection dropped. %(name)s is kept here and goes on when it is back; nothing is sent twice."), { name: file.name }, true);
        await pause(WAITS[Math.min(tries, WAITS.length - 1)]);
      }
    }

    async function sendAll() {
      const refused = [], kept = [], of = waiting.length;
      isSending = true;
      button.disabled = true;
      bar.hidden = false;
      show();
      for (const file of [...waiting]) {
        fill(0);
        const why = await send(file, refused.length + kept.length + 1, of);
        if (why === null) kept.push(file); else refused.push(why);
        waiting = waiting.filter((other) => other !== file);
        show();
      }
      isSending = false;
      button.disabled = false;
      bar.hidden = true;
      fill(0);
      if (!refused.length) { location.assign(form.dataset.upload); return; }
      told.textContent = `${refused.join(" ")} ${kept.length ? interpolate(gettext("%(kept)s of %(all)s arrived."), { kept: kept.length, all: of }, true) : ""}`;
      if (kept.length) quietly(gettext("Go on with those that arrived"), () => location.assign(form.dataset.upload), told);
    }

    inputs.forEach((input) => input.addEventListener("change", () => { choose(input.files); input.value = ""; }));
    form.addEventListener("submit", (event) => {
      if (!waiting.length) return;
      event.preventDefault();
      if (!isSending) sendAll();
    });
    form.addEventListener("dragover", (event) => { event.preventDefault(); form.classList.add("dropping"); });
    form.addEventListener("dragleave", () => form.classList.remove("dropping"));
    form.addEventListener("drop", (event) => {
      event.preventDefault();
      form.classList.remove("dropping");
      choose([...event.dataTransfer.files].filter((file) => file.type.startsWith("image/")));
    });
    addEventListener("beforeunload", (event) => { if (waiting.length) event.preventDefault(); });
  }

  document.querySelectorAll("form[data-upload]").forEach(enhance);
})();
