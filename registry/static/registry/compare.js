// Lay the second photograph over the first, where the page says how: a slider wipes from one to the other, a button or
// the key B shows one or the other, and it can be enlarged. Nothing moves by itself. Without this script both stand side
// by side.
"use strict";

(() => {
  const SIZES = [1, 2, 4];

  const made = (tag, properties, ...inside) => {
    const element = Object.assign(document.createElement(tag), properties);
    element.append(...inside);
    return element;
  };

  // Nine numbers that lead from percent of the second picture to percent of the first, as a matrix for CSS in pixels
  // of the stage: x = stage width / 100 * percent.
  function matrix(h, width, height) {
    const [a, b, c, d, e, f, g, i, j] = h;
    const sx = width / 100, sy = height / 100;
    const [m11, m12, m13] = [a, b * sx / sy, c * sx];
    const [m21, m22, m23] = [d * sy / sx, e, f * sy];
    const [m31, m32, m33] = [g / sx, i / sy, j];
    return `matrix3d(${[m11, m21, 0, m31, m12, m22, 0, m32, 0, 0, 1, 0, m13, m23, 0, m33].join(",")})`;
  }

  function layOver(root) {
    if (root.classList.contains("laid")) return;
    const [first, second] = root.querySelectorAll(".sides img");
    const homography = root.dataset.homography.split(" ").map(Number);
    if (!second || homography.length !== 9) return;
    const below = made("img", { src: first.dataset.full, alt: first.alt, draggable: false });
    const above = made("img", { src: second.dataset.full, alt: second.alt, draggable: false });
    const wipe = made("div", { className: "wipe" }, above);
    const stage = made("div", { className: "stage" }, below, wipe);
    const outlines = first.parentElement.querySelector(".marks")?.cloneNode(true);
    if (outlines) stage.append(outlines);
    const pane = made("div", { className: "pane", tabIndex: 0, role: "group", ariaLabel: "One over the other. Key B switches, plus and minus enlarge." }, stage);
    stage.style.aspectRatio = `${first.getAttribute("width")} / ${first.getAttribute("height")}`;

    const slider = made("input", { type: "range", min: 0, max: 100, value: 50 });
    const shown = made("output", { className: "soft" });
    const label = made("label", { className: "wiper" }, "Second to the right of ", slider, shown);
    const blink = made("button", { type: "button", className: "quiet", textContent: "Show the other (B)" });
    const outline = made("input", { type: "checkbox", checked: true });
    const more = made("button", { type: "button", className: "quiet", textContent: "Larger" });
    const less = made("button", { type: "button", className: "quiet", textContent: "Smaller", disabled: true });
    const spoken = made("p", { className: "unseen", ariaLive: "polite" });
    let size = 0;

    const say = (words) => { spoken.textContent = words; };
    const cut = () => {
      const at = Number(slider.value);
      wipe.style.clipPath = `inset(0 0 0 ${at}%)`;
      shown.textContent = at === 0 ? "only the second" : at === 100 ? "only the first" : `${at} %`;
      slider.setAttribute("aria-valuetext", shown.textContent);
    };
    const toggle = () => {
      slider.value = Number(slider.value) === 100 ? "0" : "100";
      cut();
      say(Number(slider.value) === 100 ? "The first is shown." : "The second is shown.");
    };
    const enlarge = (step) => {
      const next = Math.min(Math.max(size + step, 0), SIZES.length - 1);
      if (next === size) return;
      const middle = [(pane.scrollLeft + pane.clientWidth / 2) / pane.scrollWidth, (pane.scrollTop + pane.clientHeight / 2) / pane.scrollHeight];
      size = next;
      stage.style.width = `${SIZES[size] * 100}%`;
      pane.scrollLeft = middle[0] * pane.scrollWidth - pane.clientWidth / 2;
      pane.scrollTop = middle[1] * pane.scrollHeight - pane.clientHeight / 2;
      less.disabled = size === 0;
      more.disabled = size === SIZES.length - 1;
      say(`Shown at ${SIZES[size] * 100} percent.`);
    };
    const fit = () => { above.style.transform = matrix(homography, stage.clientWidth, stage.clientHeight); };

    slider.addEventListener("input", cut);
    blink.addEventListener("click", toggle);
    more.addEventListener("click", () => enlarge(1));
    less.addEventListener("click", () => enlarge(-1));
    outline.addEventListener("change", () => outlines?.classList.toggle("away", !outline.checked));
    root.addEventListener("keydown", (event) => {
      if (event.ctrlKey || event.metaKey || event.altKey) return;
      const act = { b: toggle, B: toggle, "+": () => enlarge(1), "-": () => enlarge(-1) }[event.key];
      if (!act) return;
      event.preventDefault();
      act();
    });
    new ResizeObserver(fit).observe(stage);
    const tools = made("div", { className: "row tools" }, label, blink, less, more);
    if (outlines) tools.append(made("label", { className: "tick" }, outline, " Outlines"));
    root.querySelector(".sides").before(made("div", { className: "over" }, tools, pane, spoken));
    root.classList.add("laid");
    cut();
    fit();
  }

  const all = (within) => {
    if (within.matches?.("[data-pair]")) layOver(within);
    within.querySelectorAll("[data-pair]").forEach(layOver);
  };
  all(document);
  document.addEventListener("htmx:load", (event) => all(event.detail.elt));
})();
