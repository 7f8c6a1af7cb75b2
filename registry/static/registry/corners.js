// Put the four corners of a chart on a picture by mouse, touch or keyboard. The eight number fields hold the truth;
// without this script they are typed. Keys on a corner: arrows move it, larger steps with Alt.
"use strict";

(() => {
  const SVG = "http://www.w3.org/2000/svg";
  const START = [[40, 40], [60, 40], [60, 60], [40, 60]];
  const clamp = (value) => Math.min(Math.max(value, -2), 102);

  function tool(root) {
    const plate = root.querySelector(".plate");
    const picture = plate && plate.querySelector("img");
    const fields = [1, 2, 3, 4].map((n) => ["x", "y"].map((axis) => root.querySelector(`[data-corners] input[name="${axis}${n}"]`)));
    if (!picture || fields.flat().some((field) => !field)) return;
    const wide = Number(picture.getAttribute("width")), tall = Number(picture.getAttribute("height"));
    const { svg, outlines, knobs } = overlay(wide, tall);
    plate.append(svg);

    const read = () => fields.map((pair, n) => pair.map((field, axis) => (field.value === "" ? START[n][axis] : Number(field.value))));
    const show = () => {
      const places = read();
      const pixels = places.map(([x, y]) => [(x / 100) * wide, (y / 100) * tall]);
      const middle = [0, 1].map((axis) => pixels.reduce((sum, place) => sum + place[axis], 0) / 4);
      const round = [...pixels].sort((a, b) => Math.atan2(a[1] - middle[1], a[0] - middle[0]) - Math.atan2(b[1] - middle[1], b[0] - middle[0]));
      outlines.forEach((outline) => outline.setAttribute("points", round.map((place) => place.join(",")).join(" ")));
      const radius = Math.max((14 * wide) / (plate.clientWidth || wide), 1);
      knobs.forEach((knob, n) => {
        knob.setAttribute("cx", pixels[n][0]);
        knob.setAttribute("cy", pixels[n][1]);
        knob.setAttribute("r", radius);
        knob.setAttribute("aria-valuenow", places[n][0]);
        knob.setAttribute("aria-valuetext", interpolate(gettext("left %(left)s, top %(top)s percent"), { left: places[n][0], top: places[n][1] }, true));
      });
    };
    const write = (n, x, y) => {
      const places = read();
      places[n] = [x, y];
      places.forEach((place, at) => place.forEach((value, axis) => {
        fields[at][axis].value = String(Math.round(clamp(value) * 100) / 100);
      }));
      show();
    };

    knobs.forEach((knob, n) => {
      let held = false;
      const drag = (event) => {
        if (!held) return;
        const box = plate.getBoundingClientRect();
        write(n, ((event.clientX - box.left) / box.width) * 100, ((event.clientY - box.top) / box.height) * 100);
      };
      knob.addEventListener("pointerdown", (event) => {
        if (event.button !== 0) return;
        event.preventDefault();
        held = true;
        knob.setPointerCapture(event.pointerId);
        knob.focus();
      });
      knob.addEventListener("pointermove", drag);
      knob.addEventListener("pointerup", (event) => { drag(event); held = false; });
      knob.addEventListener("pointercancel", () => { held = false; });
      knob.addEventListener("keydown", (event) => {
        const step = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
        if (!step) return;
        event.preventDefault();
        const size = event.altKey ? 2 : 0.2;
        const [x, y] = read()[n];
        write(n, x + step[0] * size, y + step[1] * size);
      });
    });
    fields.flat().forEach((field) => field.addEventListener("input", show));
    new ResizeObserver(show).observe(plate);
    root.classList.add("chart-tool");
    show();
  }

  function overlay(wide, tall) {
    const made = (name, attributes, parent) => {
      const element = document.createElementNS(SVG, name);
      Object.entries(attributes).forEach(([key, value]) => element.setAttribute(key, value));
      if (parent) parent.append(element);
      return element;
    };
    const svg = made("svg", { class: "corners", viewBox: `0 0 ${wide} ${tall}` });
    const outlines = ["under", "drawing"].map((name) => made("polygon", { class: name }, svg));
    const knobs = [1, 2, 3, 4].map((n) => made("circle", {
      tabindex: "0", role: "slider", "aria-label": interpolate(gettext("Corner %(n)s of the chart. Arrows move it, Alt makes larger steps."), { n }, true),
      "aria-valuemin": "0", "aria-valuemax": "100", "aria-valuenow": "0",
    }, svg));
    return { svg, outlines, knobs };
  }

  document.querySelectorAll("[data-chart-tool]").forEach(tool);
})();
