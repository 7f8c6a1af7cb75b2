// The pocket sheet on a device: asks what is seen and answers by identify.js, with or without a network.
// Both scripts and the sheet's data are kept when the page is first opened.

const sheet = document.getElementById("pocket");
const {identify} = await import(sheet.dataset.identify);
const data = await (await fetch(sheet.dataset.table)).json();
const {sentences, needs} = data.words;
const WORDS = [["none", gettext("none of these")], ["unsure", gettext("not sure")], ["hidden", gettext("not visible")]];
const SAID = {none: {none_of_these: true}, unsure: {not_sure: []}, hidden: {not_visible: true}};
const AT_HAND = [["loose", gettext("loose, in hand")], ["raking_light", gettext("a light from the side")], ["magnifier", gettext("a magnifier")]];
const RANKED = 6;
const said = new Map();
const have = new Set(AT_HAND.map(([need]) => need));

function make(tag, given = {}, ...inside) {
  const made = Object.assign(document.createElement(tag), given);
  made.append(...inside);
  return made;
}

const fill = (sentence, facts) => sentence.replace(/\{(\w+)\}/g, (_, name) => facts[name]);
const small = (label) => (/^.\p{Lu}/u.test(label) ? label : label[0].toLowerCase() + label.slice(1));
// In a language whose nouns begin large, the words for this are "%(typed)s".
const inside = (label) => interpolate(gettext("%(small)s"), {small: small(label), typed: label}, true);
const percent = (p) => (p > 0 && p < 0.01 ? gettext("less than 1 %") : `${Math.round(100 * p)} %`).replace(" %", "\u00a0%");

export function answer() {
  const observed = [...said].map(([trait, value]) => ({trait, ...(SAID[value] ?? {seen: value})}));
  const atHand = have.has("loose") ? [...have, "base_visible"] : [...have];
  const prior = data.options.prior ?? undefined;
  return identify(data.table, observed, {...data.options, prior, at_hand: atHand, keep: RANKED});
}

function summary(found) {
  if (!found.candidates.length) return sentences.nobody;
  if (!found.learnt.length) return sentences.nothing_seen;
  const fits = ["none_fits", "one_fits"][found.fitting] ?? "several_fit";
  return fill(sentences[fits], {n: found.fitting});
}

function advice({next, reason, later, missing}) {
  const label = (trait) => inside(data.details[trait].label);
  const now = next ? fill(sentences.next, {detail: label(next)}) : sentences[reason];
  if (!later) return now;
  const words = missing.map((need) => needs[need]).join(` ${gettext("and")} `);
  return `${now} ${fill(sentences.later, {missing: words, detail: label(later)})}`;
}

function why({trait, state, speaks}) {
  const {label, states} = data.details[trait];
  return fill(sentences[state ? speaks : `unknown_${speaks}`], {detail: label, state: states[state]});
}

// The state's name stands beside it, so the picture needs none; one that cannot be had leaves the name alone.
function crop(address) {
  const picture = make("img", {className: "crop", src: address, alt: "", width: 144, height: 108, loading: "lazy"});
  picture.addEventListener("error", () => picture.remove());
  return picture;
}

function card(trait, isNext) {
  const {label, place, how_to_inspect: how, states} = data.details[trait];
  const pick = ([value, name]) => {
    const id = `${trait}-${value}`;
    const radio = make("input", {type: "radio", name: trait, value, id, checked: said.get(trait) === value});
    radio.addEventListener("change", () => { said.set(trait, value); show(id); });
    const shown = data.crops[value] ? [crop(data.crops[value])] : [];
    return make("label", {className: "pick"}, radio, ...shown, make("span", {}, name));
  };
  return make("fieldset", {className: "looking"},
    make("legend", {}, isNext ? interpolate(gettext("Look next at: %(label)s"), {label}, true) : label),
    make("p", {className: "where"}, how ? `${place}. ${how}` : place),
    make("div", {className: "picks"}, ...Object.entries(states).map(pick)),
    make("div", {className: "picks words"}, ...WORDS.map(pick)));
}

function answered(trait) {
  const chosen = said.get(trait);
  const {label, states} = data.details[trait];
  const name = states[chosen] ?? WORDS.find(([word]) => word === chosen)[1];
  const back = make("button", {type: "button", className: "quiet"}, gettext("Take this answer back"));
  back.addEventListener("click", () => { said.delete(trait); show(); });
  return make("details", {}, make("summary", {}, `${label}: `, make("strong", {}, name)), card(trait), back);
}

function switches() {
  const each = AT_HAND.map(([need, words]) => {
    const box = make("input", {type: "checkbox", id: `have-${need}`, checked: have.has(need)});
    box.addEventListener("change", () => { have[box.checked ? "add" : "delete"](need); show(box.id); });
    return make("label", {}, box, words);
  });
  return make("fieldset", {className: "switches"}, make("legend", {}, gettext("What can you look at now?")), ...each);
}

function ranked({variant, posterior, grounds}) {
  const {title, standing} = data.variants[variant];
  const link = make("a", {href: `/variants/${variant}`}, title);
  const line = make("p", {className: "apart"}, make("span", {}, link, " ", make("small", {}, standing)),
    make("span", {className: "share"}, percent(posterior)));
  const telling = grounds.filter(({speaks}) => speaks !== "neither");
  const reasons = make("ul", {}, ...telling.map((ground) => make("li", {}, why(ground))));
  return make("li", {}, line, ...(telling.length ? [make("details", {}, make("summary", {}, gettext("Why")), reasons)] : []));
}

function soFar({candidates: [best], not_listed: none}) {
  if (none > best.posterior) return interpolate(gettext("So far: none of those that are listed, %(percent)s"), {percent: percent(none)}, true);
  return interpolate(gettext("So far: %(title)s, %(percent)s"), {title: data.variants[best.variant].title, percent: percent(best.posterior)}, true);
}

function show(focus) {
  const found = answer();
  const {next} = found.advice;
  const others = found.checks.map(({trait}) => trait).filter((trait) => trait !== next);
  const none = make("p", {className: "apart"}, make("span", {}, gettext("None of those that are listed")),
    make("span", {className: "share"}, percent(found.not_listed)));
  const list = [...found.candidates.map(ranked), make("li", {}, none)];
  const asking = make("div", {className: "asking"}, switches());
  if (said.size) asking.append(make("p", {className: "so-far"}, soFar(found)));
  if (next) asking.append(card(next, true));
  if (!next || found.advice.later) asking.append(make("p", {className: "word"}, advice(found.advice)));
  asking.append(...[...said.keys()].map(answered));
  if (others.length) {
    const rest = make("summary", {}, interpolate(ngettext("%(n)s other detail that you could look at", "%(n)s other details that you could look at", others.length), {n: others.length}, true));
    asking.append(make("details", {}, rest, ...others.map((trait) => card(trait))));
  }
  const telling = make("section", {className: "answer"}, make("h3", {}, gettext("It may be")), make("p", {}, summary(found)),
    make("ol", {className: "plain ranking"}, ...list));
  telling.setAttribute("aria-live", "polite");
  sheet.replaceChildren(asking, telling);
  if (focus) document.getElementById(focus)?.focus();
}

async function keep() {
  const state = document.getElementById("kept");
  if (!("serviceWorker" in navigator)) return;
  await navigator.serviceWorker.register(sheet.dataset.worker, {scope: "/pocket/"});
  const parts = [...document.querySelectorAll("link[href], script[src]")].map((part) => part.href || part.src);
  const kept = await caches.open("pocket");
  if (navigator.onLine) {
    await kept.addAll([location.pathname, sheet.dataset.table, sheet.dataset.identify, ...parts]);
    await keepCrops(kept);
  }
  state.textContent = data.list
    ? interpolate(gettext("Kept on this device, as of List no. %(n)s: it opens and answers without a network."), {n: data.list}, true)
    : gettext("Kept on this device: it opens and answers without a network.");
}

// Fetches the pictures that are not here yet, and drops those that this sheet shows no more.
async function keepCrops(kept) {
  const wanted = new Set(Object.values(data.crops));
  const here = (await kept.keys()).map(({url}) => new URL(url).pathname);
  const mine = here.filter((path) => path.startsWith(`${location.pathname}/`));
  await Promise.all(mine.filter((path) => !wanted.has(path)).map((path) => kept.delete(path)));
  const missing = [...wanted].filter((path) => !mine.includes(path));
  await Promise.allSettled(missing.map((path) => kept.add(path)));
}

show();
sheet.dataset.ready = "yes";
keep().catch(() => {}); // private windows keep nothing; the sheet works all the same while it is open
