// Notes where Tab leads on a page. At each press, the place that the press before reached is looked at: by then all
// scrolling is done. `walk.begin()` says how many places there are; `walk.faults()` what is wrong on the way round.
"use strict";

window.walk = (() => {
  const PRESSED = "a[href], area[href], button, input:not([type=hidden]), select, textarea, summary, [tabindex]";
  const SHOWN = ["outlineStyle", "outlineWidth", "boxShadow", "borderColor", "borderWidth", "stroke", "strokeWidth"];
  const SEEN = {checkVisibilityCSS: true};
  const looks = (it) => { const style = getComputedStyle(it); return SHOWN.map((name) => style[name]).join(); };
  const named = (it) => `${it.cloneNode(false).outerHTML.slice(0, 120)} ${it.textContent.trim().slice(0, 30)}`;
  const within = () => [...document.querySelectorAll("body *")];
  let calm, stops, isRound;

  const every = () => [...document.querySelectorAll(PRESSED)]
    .filter((it) => it.tabIndex >= 0 && !it.matches(":disabled") && it.checkVisibility(SEEN));

  // Of radio buttons that exclude one another Tab reaches one; arrows lead to the others.
  const place = (it) => it.type === "radio" ? [...document.getElementsByName(it.name)].find((one) => one.form === it.form) : it;

  function scrolls(it) {
    const {overflowX, overflowY} = getComputedStyle(it);
    const [across, down] = [overflowX, overflowY].map((how) => how === "auto" || how === "scroll");
    return across && it.scrollWidth > it.clientWidth + 1 || down && it.scrollHeight > it.clientHeight + 1;
  }

  // Some part of it is neither beyond an edge nor under something that stays in place.
  function inSight(it) {
    const parts = [.1, .5, .9];
    return [...it.getClientRects()].some(({left, top, width, height}) => parts.some((x) => parts.some((y) => {
      const hit = document.elementFromPoint(left + x * width, top + y * height);
      return it.contains(hit) || [...it.labels ?? []].some((label) => label.contains(hit));
    })));
  }

  function look() {
    const it = document.activeElement;
    if (isRound || it === document.body || it === stops.at(-1)?.it) return;
    if (it === stops[0]?.it) isRound = true;
    else stops.push({it, inSight: inSight(it), isShown: looks(it) !== calm.get(it)});
  }

  // With everything unfolded, and from the top unless a place was reached before.
  function begin() {
    for (const folded of document.querySelectorAll("details")) folded.open = true;
    document.activeElement.blur();
    calm = new Map([...every(), ...within().filter(scrolls)].map((it) => [it, looks(it)]));
    [stops, isRound] = [[], false];
    document.addEventListener("keydown", look, {capture: true});
    return new Set(every().map(place)).size;
  }

  // Once round, the order of the page is left once: from its last place to its first, or the other way.
  function turns(isBackward) {
    const next = isBackward ? Node.DOCUMENT_POSITION_PRECEDING : Node.DOCUMENT_POSITION_FOLLOWING;
    const found = stops.filter(({it}, n) => !(stops.at(n - 1).it.compareDocumentPosition(it) & next));
    return found.length > 1 ? found : [];
  }

  function faults(isBackward) {
    const reached = stops.map(({it}) => place(it));
    const found = {
      "Tab does not come round from": isRound ? [] : [document.activeElement],
      "Tab does not reach": every().filter((it) => !reached.includes(place(it))),
      "Tab leaves the order at": turns(isBackward).map(({it}) => it),
      "No key scrolls": within().filter((it) => it.checkVisibility(SEEN) && scrolls(it) && !reached.some((one) => it.contains(one))),
      "Focus is not shown on": stops.filter(({isShown}) => !isShown).map(({it}) => it),
      "Focus is out of sight on": stops.filter((stop) => !stop.inSight).map(({it}) => it),
    };
    return Object.entries(found).flatMap(([what, all]) => all.map((it) => `${what} ${named(it)}`));
  }

  return {begin, faults, isRound: () => isRound, sticks: () => within().some((it) => getComputedStyle(it).position === "sticky")};
})();
