// Put the four points of a measurement on a picture by mouse, touch or keyboard. The number fields hold the truth;
// without this script they are typed. A tap puts the next point, or takes hold of the one it lands on. Keys: 1 to 4
// choose a point, arrows move it, with Alt in larger steps, Escape clears all.
"use strict";

(() => {
  const SVG = "http://www.w3.org/2000/svg";
  const GRASP = 24; // pixels of the screen within which a tap takes hold of a point
  const clamp = (value) => Math.min(Math.max(value, 0), 100);
  const made = (name, attributes) => {
    const one = document.createElementNS(SVG, name);
    Object.entries(attributes).forEach(([key, value]) => one.setAttribute(key, value));
    return one;
  };

  function tool(root) {
    const plate = root.querySelector(".plate");
    const lines = [...root.querySelectorAll("[data-line]")];
    const fields = lines.flatMap((line) => [...line.querySelectorAll("input.percent")]);
    if (!plate || fields.length !== 8) return;
    const svg = made("svg", { class: "marks", viewBox: "0 0 100 100", preserveAspectRatio: "none", "aria-hidden": "true" });
    const paths = ["under", "drawing known", "under", "drawing"].map((name) => svg.appendChild(made("path", { class: name, d: "" })));
    plate.append(svg);
    const handles = [0, 1, 2, 3].map((n) => {
      const handle = plate.appendChild(document.createElement("span"));
      handle.className = "handle";
      handle.textContent = String(n + 1);
      handle.hidden = true;
      return handle;
    });
    const spoken = plate.parentElement.appendChild(document.createElement("p"));
    spoken.className = "unseen";
    spoken.setAttribute("aria-live", "polite");
    let chosen = 0, held = false;

    const point = (n) => {
      const typed = [fields[2 * n], fields[2 * n + 1]];
      return typed.some((field) => field.value === "") ? null : typed.map((field) => Number(field.value));
    };
    const show = () => {
      const box = plate.getBoundingClientRect();
      const points = [0, 1, 2, 3].map(point);
      handles.forEach((handle, n) => {
        handle.hidden = !points[n];
        handle.classList.toggle("chosen", n === chosen);
        if (!points[n]) return;
        handle.style.left = `${(points[n][0] / 100) * box.width}px`; // through the script's own style: no inline markup
        handle.style.top = `${(points[n][1] / 100) * box.height}px`;
      });
      paths.forEach((path, n) => {
        const [from, to] = n < 2 ? [points[0], points[1]] : [points[2], points[3]];
        path.setAttribute("d", from && to ? `M${from.join(" ")} L${to.join(" ")}` : "");
      });
    };
    const put = (n, x, y) => {
      [x, y].forEach((value, k) => { fields[2 * n + k].value = String(Math.round(clamp(value) * 100) / 100); });
      show();
    };
    const tell = () => {
      const at = point(chosen);
      const name = interpolate(gettext("%(line)s, end %(n)s"), { line: lines[chosen < 2 ? 0 : 1].dataset.line, n: (chosen % 2) + 1 }, true);
      spoken.textContent = at ? interpolate(gettext("%(name)s: left %(left)s, top %(top)s percent."), { name, left: at[0], top: at[1] }, true) : interpolate(gettext("%(name)s: not put yet."), { name }, true);
    };
    const place = (event) => {
      const box = plate.getBoundingClientRect();
      return [((event.clientX - box.left) / box.width) * 100, ((event.clientY - box.top) / box.height) * 100];
    };
    const grasped = (event) => {
      const box = plate.getBoundingClientRect();
      const far = [0, 1, 2, 3].map((n) => {
        const at = point(n);
        return at ? Math.hypot(event.clientX - box.left - (at[0] / 100) * box.width, event.clientY - box.top - (at[1] / 100) * box.height) : Infinity;
      });
      const nearest = far.indexOf(Math.min(...far));
      return far[nearest] <= GRASP ? nearest : -1;
    };

    plate.tabIndex = 0;
    plate.setAttribute("role", "application");
    plate.setAttribute("aria-label", gettext("Points on the picture. 1 and 2 are the ends of the known length, 3 and 4 of what you measure. Arrows move the chosen point, Alt makes larger steps, Escape clears all."));
    plate.addEventListener("pointerdown", (event) => {
      if (event.button !== 0) return;
      event.preventDefault();
      const near = grasped(event);
      const next = [0, 1, 2, 3].find((n) => !point(n));
      chosen = near >= 0 ? near : next ?? chosen;
      held = true;
      plate.setPointerCapture(event.pointerId);
      plate.focus();
      if (near < 0) put(chosen, ...place(event));
      show();
    });
    plate.addEventListener("pointermove", (event) => { if (held) put(chosen, ...place(event)); });
    plate.addEventListener("pointerup", () => { held = false; tell(); });
    plate.addEventListener("pointercancel", () => { held = false; });
    plate.addEventListener("keydown", (event) => {
      if (event.key === "Escape") {
        fields.forEach((field) => { field.value = ""; });
        chosen = 0;
        show();
        tell();
        return;
      }
      if ("1234".includes(event.key)) {
        chosen = Number(event.key) - 1;
        show();
        tell();
        return;
      }
      const step = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
      if (!step) return;
      event.preventDefault();
      const size = event.altKey ? 5 : 0.25;
      const [x, y] = point(chosen) ?? [50, 50];
      put(chosen, x + step[0] * size, y + step[1] * size);
      tell();
    });
    fields.forEach((field) => field.addEventListener("input", show));
    new ResizeObserver(show).observe(plate);
    root.classList.add("mark-tool");
    show();
  }

  document.querySelectorAll("[data-measure-tool]").forEach(tool);
})();
