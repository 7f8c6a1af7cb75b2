// Two photographs side by side are enlarged and moved in step. Where the page says how, the second is laid over the
// first as well: a slider wipes from one to the other, a button or the key B shows one or the other. Nothing moves by
// itself. Without this script both stand side by side.
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

  // Enlarge all panes together by `tools`; to where one of them is moved by hand, the others move as well.
  function inStep(root, panes, tools) {
    const more = made("button", { type: "button", className: "quiet", textContent: gettext("Larger") });
    const less = made("button", { type: "button", className: "quiet", textContent: gettext("Smaller"), disabled: true });
    const spoken = made("p", { className: "unseen", ariaLive: "polite" });
    more.dataset.key = "+";
    less.dataset.key = "-";
    const placed = new Map(); // where this script last moved each pane to: what is elsewhere was moved by hand
    let size = 0, leader = panes[0];

    const middle = (pane) => [(pane.scrollLeft + pane.clientWidth / 2) / pane.scrollWidth, (pane.scrollTop + pane.clientHeight / 2) / pane.scrollHeight];
    const centre = (pane, [x, y]) => {
      pane.scrollLeft = x * pane.scrollWidth - pane.clientWidth / 2;
      pane.scrollTop = y * pane.scrollHeight - pane.clientHeight / 2;
      placed.set(pane, `${pane.scrollLeft} ${pane.scrollTop}`);
    };
    const enlarge = (step) => {
      const next = Math.min(Math.max(size + step, 0), SIZES.length - 1);
      if (next === size) return;
      size = next;
      const at = middle(leader);
      for (const pane of panes) {
        pane.querySelectorAll("img[data-full]").forEach((one) => {
          one.previousElementSibling?.remove(); // the smaller WebP, which would be shown instead
          if (one.getAttribute("src") !== one.dataset.full) one.src = one.dataset.full;
        });
        if (pane.classList.contains("lens")) pane.style.height = size ? pane.style.height || `${pane.offsetHeight}px` : "";
        pane.firstElementChild.style.width = `${SIZES[size] * 100}%`;
        centre(pane, at);
      }
      less.disabled = size === 0;
      more.disabled = size === SIZES.length - 1;
      spoken.textContent = interpolate(gettext("Shown at %(percent)s percent."), { percent: SIZES[size] * 100 }, true);
    };

    more.addEventListener("click", () => enlarge(1));
    less.addEventListener("click", () => enlarge(-1));
    for (const pane of panes) {
      pane.addEventListener("scroll", () => {
        if (placed.get(pane) === `${pane.scrollLeft} ${pane.scrollTop}`) return;
        leader = pane;
        for (const other of panes) if (other !== pane) centre(other, middle(pane));
      });
    }
    root.addEventListener("keydown", (event) => {
      if (event.ctrlKey || event.metaKey || event.altKey || !["+", "-"].includes(event.key)) return;
      event.preventDefault();
      enlarge(event.key === "+" ? 1 : -1);
    });
    tools.append(less, more, spoken);
  }

  // Each photograph in a pane of its own, in which it can be enlarged.
  function panesOf(root) {
    return [...root.querySelectorAll(".sides .plate")].map((plate) => {
      const pane = made("div", { className: "lens", tabIndex: 0, role: "group", ariaLabel: plate.querySelector("img").alt });
      plate.replaceWith(pane);
      pane.append(plate);
      return pane;
    });
  }

  function work(root) {
    if (root.classList.contains("worked")) return;
    root.classList.add("worked");
    const tools = made("div", { className: "row tools" });
    const over = "pair" in root.dataset ? layOver(root, tools) : null;
    const panes = panesOf(root);
    if (!over) root.querySelector(".sides").before(tools);
    inStep(root, over ? [over, ...panes] : panes, tools);
  }

  // The pane in which one lies over the other; nothing where they do not fit.
  function layOver(root, tools) {
    const [first, second] = root.querySelectorAll(".sides img");
    const homography = root.dataset.homography.split(" ").map(Number);
    if (!second || homography.length !== 9) return null;
    const below = made("img", { src: first.dataset.full, alt: first.alt, draggable: false });
    const above = made("img", { src: second.dataset.full, alt: second.alt, draggable: false });
    const wipe = made("div", { className: "wipe" }, above);
    const stage = made("div", { className: "stage" }, below, wipe);
    const outlines = first.closest(".plate").querySelector(".marks")?.cloneNode(true);
    if (outlines) stage.append(outlines);
    const pane = made("div", { className: "pane", tabIndex: 0, role: "group", ariaLabel: gettext("One over the other. Key B switches, plus and minus enlarge.") }, stage);
    stage.style.aspectRatio = `${first.getAttribute("width")} / ${first.getAttribute("height")}`;

    const slider = made("input", { type: "range", min: 0, max: 100, value: 50 });
    const shown = made("output", { className: "soft" });
    const label = made("label", { className: "wiper" }, gettext("Second to the right of") + " ", slider, shown);
    const blink = made("button", { type: "button", className: "quiet", textContent: gettext("Show the other (B)") });
    const outline = made("input", { type: "checkbox", checked: true });
    const spoken = made("p", { className: "unseen", ariaLive: "polite" });
    blink.dataset.key = "b";

    const say = (words) => { spoken.textContent = words; };
    const cut = () => {
      const at = Number(slider.value);
      wipe.style.clipPath = `inset(0 0 0 ${at}%)`;
      shown.textContent = at === 0 ? gettext("only the second") : at === 100 ? gettext("only the first") : `${at} %`;
      slider.setAttribute("aria-valuetext", shown.textContent);
    };
    const toggle = () => {
      slider.value = Number(slider.value) === 100 ? "0" : "100";
      cut();
      say(Number(slider.value) === 100 ? gettext("The first is shown.") : gettext("The second is shown."));
    };
    const fit = () => { above.style.transform = matrix(homography, stage.clientWidth, stage.clientHeight); };

    slider.addEventListener("input", cut);
    blink.addEventListener("click", toggle);
    outline.addEventListener("change", () => outlines?.classList.toggle("away", !outline.checked));
    root.addEventListener("keydown", (event) => {
      if (event.ctrlKey || event.metaKey || event.altKey || event.key.toLowerCase() !== "b") return;
      event.preventDefault();
      toggle();
    });
    new ResizeObserver(fit).observe(stage);
    tools.append(label, blink);
    if (outlines) tools.append(made("label", { className: "tick" }, outline, " " + gettext("Outlines")));
    root.querySelector(".sides").before(made("div", { className: "over" }, tools, pane, spoken));
    root.classList.add("laid");
    cut();
    fit();
    return pane;
  }

  const all = (within) => {
    if (within.matches?.(".pair")) work(within);
    within.querySelectorAll(".pair").forEach(work);
  };
  all(document);
  document.addEventListener("htmx:load", (event) => all(event.detail.elt));
})();
