// Draw a mark on a picture by mouse, touch or keyboard. The four number fields hold the truth; without this script
// they are typed. Keys: arrows move, Shift with arrows resizes, larger steps with Alt, Escape clears.
"use strict";

(() => {
  const SVG = "http://www.w3.org/2000/svg";
  const clamp = (value, least, most) => Math.min(Math.max(value, least), most);

  function tool(root) {
    const plate = root.querySelector(".plate");
    const fields = ["left", "top", "width", "height"].map((name) => root.querySelector(`[data-region] input[name$="${name}"]`));
    if (!plate || fields.some((field) => !field)) return;
    const rects = overlay(plate);
    const spoken = plate.parentElement.appendChild(document.createElement("p"));
    spoken.className = "unseen";
    spoken.setAttribute("aria-live", "polite");
    let from = null;

    const read = () => fields.map((field) => (field.value === "" ? NaN : Number(field.value)));
    const show = () => {
      const [x, y, w, h] = read();
      const whole = [x, y, w, h].every(Number.isFinite);
      rects.forEach((rect) => {
        rect.setAttribute("visibility", whole ? "visible" : "hidden");
        if (!whole) return;
        Object.entries({ x, y, width: w, height: h }).forEach(([name, value]) => rect.setAttribute(name, value));
      });
      spoken.textContent = whole ? interpolate(gettext("Marked: left %(x)s, top %(y)s, width %(w)s, height %(h)s percent."), { x, y, w, h }, true) : "";
    };
    const write = (x, y, w, h) => {
      const left = clamp(x, 0, 99.5), top = clamp(y, 0, 99.5);
      [left, top, clamp(w, 0.5, 100 - left), clamp(h, 0.5, 100 - top)].forEach((value, n) => {
        fields[n].value = String(Math.round(value * 100) / 100);
      });
      show();
    };
    const at = (event) => {
      const box = plate.getBoundingClientRect();
      return [clamp(((event.clientX - box.left) / box.width) * 100, 0, 100), clamp(((event.clientY - box.top) / box.height) * 100, 0, 100)];
    };
    const drag = (event) => {
      if (!from) return;
      const [x, y] = at(event);
      write(Math.min(from[0], x), Math.min(from[1], y), Math.abs(x - from[0]), Math.abs(y - from[1]));
    };

    plate.tabIndex = 0;
    plate.setAttribute("role", "application");
    plate.setAttribute("aria-label", gettext("Mark on the picture. Arrows move it, Shift with arrows changes its size, Alt makes larger steps, Escape clears it."));
    plate.addEventListener("pointerdown", (event) => {
      if (event.button !== 0) return;
      event.preventDefault();
      from = at(event);
      plate.setPointerCapture(event.pointerId);
      plate.focus();
    });
    plate.addEventListener("pointermove", drag);
    plate.addEventListener("pointerup", (event) => { drag(event); from = null; });
    plate.addEventListener("pointercancel", () => { from = null; });
    plate.addEventListener("keydown", (event) => {
      if (event.key === "Escape") {
        fields.forEach((field) => { field.value = ""; });
        show();
        return;
      }
      const step = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
      if (!step) return;
      event.preventDefault();
      const size = event.altKey ? 5 : 1;
      const known = read();
      const [x, y, w, h] = known.every(Number.isFinite) ? known : [40, 40, 20, 20];
      if (event.shiftKey) write(x, y, w + step[0] * size, h + step[1] * size);
      else write(clamp(x + step[0] * size, 0, 100 - w), clamp(y + step[1] * size, 0, 100 - h), w, h);
    });
    fields.forEach((field) => field.addEventListener("input", show));
    root.classList.add("mark-tool");
    show();
  }

  function overlay(plate) {
    const svg = document.createElementNS(SVG, "svg");
    svg.setAttribute("class", "marks");
    svg.setAttribute("viewBox", "0 0 100 100");
    svg.setAttribute("preserveAspectRatio", "none");
    svg.setAttribute("aria-hidden", "true");
    const rects = ["under", "drawing"].map((name) => {
      const rect = document.createElementNS(SVG, "rect");
      rect.setAttribute("class", name);
      svg.append(rect);
      return rect;
    });
    plate.append(svg);
    return rects;
  }

  document.querySelectorAll("[data-mark-tool]").forEach(tool);
})();
