// The pocket sheet of a hunt on a device: kept for when there is no network, and notes of what is seen, taken on it.
// outbox.js sends them. Without this script the same links lead to the form online.

const sheet = document.getElementById("hunt");
const {notes: address, worker, list, outbox} = sheet.dataset;
const {keep, forget, changedBy} = await import(outbox);
const here = location.pathname + location.search;
const query = location.search;
const LARGEST_PHOTO = 12_000_000, MOST = 100_000;
const SCOPES = [["item", gettext("one item")], ["sealed_pack", gettext("one sealed pack")], ["peg", gettext("a peg or shelf")], ["case", gettext("a shipping case")]];
const PICKED = [["unknown", gettext("I don’t know")], ["no", gettext("no")], ["yes", gettext("yes")]];
const data = await (await fetch(address + query)).json();

function make(tag, given = {}, ...inside) {
  const made = Object.assign(document.createElement(tag), given);
  made.append(...inside);
  return made;
}

const newKey = () => [...crypto.getRandomValues(new Uint8Array(16))].map((byte) => byte.toString(16).padStart(2, "0")).join("");
const inWords = (day) => new Intl.DateTimeFormat(document.documentElement.lang, {dateStyle: "medium", timeZone: "UTC"}).format(new Date(day));
const today = () => { const now = new Date(); return new Date(now - now.getTimezoneOffset() * 60_000).toISOString().slice(0, 10); };

function field(id, label, input, help = "") {
  input.id = id;
  return make("div", {className: "field"}, make("label", {htmlFor: id}, label), input,
    ...(help ? [make("div", {className: "help"}, help)] : []));
}

function choice(options) {
  return make("select", {}, ...options.map(([value, words]) => make("option", {value}, words)));
}

function counter(id, label) {
  const input = make("input", {type: "number", className: "small", min: 1, max: MOST, inputMode: "numeric", id});
  const tap = (sign, change, word) => {
    const button = make("button", {type: "button", className: "quiet step", ariaLabel: `${word}: ${label}`}, sign);
    button.addEventListener("click", () => {
      input.value = Math.min(Math.max((Number(input.value) || 0) + change, 0), MOST) || "";
      input.dispatchEvent(new Event("input", {bubbles: true}));
    });
    return button;
  };
  const row = make("div", {className: "steps-row"}, tap("−", -1, gettext("One less")), input, tap("+", 1, gettext("One more")));
  return [input, make("div", {className: "field"}, make("label", {htmlFor: id}, label), row)];
}

// `before`: a note that was refused, to be mended; what was said in it stands in the form.
function noteForm(release, close, before = null) {
  const {name, variants, seen} = data.releases[release];
  const id = (what) => `${release}-${what}`;
  const counts = [];
  const boxes = [...variants, ["none_known", gettext("None of the known ones")], ["could_not_tell", gettext("Could not tell")]].map(([which, label]) => {
    const [input, row] = counter(id(which), label);
    counts.push([which, input]);
    return row;
  });
  const all = make("input", {type: "checkbox"});
  const scope = choice(SCOPES), picked = choice(PICKED);
  const day = make("input", {type: "date", value: today(), max: today()});
  const country = make("input", {value: data.place.country, maxLength: 2});
  const region = make("input", {value: data.place.region, maxLength: 60});
  const words = make("input", {maxLength: 300});
  const photo = make("input", {type: "file", accept: "image/jpeg,image/png,image/webp"});
  photo.setAttribute("capture", "environment");
  const wrong = make("p", {className: "errorlist", hidden: true});
  wrong.setAttribute("role", "alert");
  const cancel = make("button", {type: "button", className: "quiet"}, gettext("Close"));
  cancel.addEventListener("click", close);
  const total = () => counts.reduce((sum, [, input]) => sum + (Number(input.value) || 0), 0);
  const pickedOver = field(id("picked"), gettext("Had others picked through it before?"), picked);
  let scopeChosen = false;
  const adapt = () => {
    if (!scopeChosen) scope.value = all.checked || total() > 1 ? "peg" : "item";
    pickedOver.hidden = !(all.checked && scope.value === "peg");
  };
  scope.addEventListener("change", () => { scopeChosen = true; });
  let taken = null;
  const fillFrom = ({said, photo: kept}) => {
    let isWhole = true;
    for (const {kind, variants: [which], n} of said.count_lines) {
      const [, input] = counts.find(([one]) => one === (which ?? kind)) ?? [];
      if (input) input.value = n;
      else isWhole = false;
    }
    wrong.hidden = isWhole;
    wrong.textContent = isWhole ? "" : gettext("Part of what you counted is no longer on this sheet, and is missing here. Enter it where it belongs before you say that you counted everything.");
    [all.checked, scope.value, scopeChosen] = [said.is_full_count && isWhole, said.scope, true];
    [day.value, country.value, region.value, words.value] = [said.seen_on, said.country, said.region, said.note];
    if (said.picked_over) picked.value = said.picked_over;
    taken = kept;
    form.querySelector("details").open = true;
  };
  const form = make("form", {className: "note sheet"},
    make("h4", {}, interpolate(gettext("What I see of %(name)s"), {name}, true)), wrong, ...boxes,
    make("div", {className: "field"}, make("label", {}, all, gettext("I counted everything there"))),
    field(id("scope"), gettext("What did you look at?"), scope), pickedOver,
    make("details", {}, make("summary", {}, gettext("More: photograph, day, place, note")),
    field(id("photo"), gettext("A photograph"), photo, gettext("JPEG, PNG or WebP, up to 12 MB. No people, no homes. May be left out.")),
    field(id("day"), gettext("Day"), day), field(id("country"), gettext("Country"), country, gettext("Two letters, such as NL. May stay empty.")),
    field(id("region"), gettext("Wide region"), region, gettext("No finer than a province. May stay empty.")),
    field(id("words"), gettext("Note"), words, gettext("May stay empty."))),
    make("div", {className: "actions"}, make("button", {type: "submit"}, gettext("Keep the note")), cancel));

  if (before) fillFrom(before);
  form.addEventListener("input", adapt);
  adapt();
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    const lines = counts.filter(([, input]) => Number(input.value) > 0).map(([which, input]) => {
      const known = which !== "none_known" && which !== "could_not_tell";
      return {kind: known ? "variant" : which, variants: known ? [which] : [], n: Number(input.value)};
    });
    const file = photo.files[0] ?? taken;
    const fault = !lines.length ? gettext("Say how many you saw, in at least one of the boxes.")
      : scope.value === "item" && (all.checked || total() > 1) ? gettext("One item is one: choose what you looked at.")
      : !day.value ? gettext("Say on which day: it is under “More”.")
      : file && file.size > LARGEST_PHOTO ? interpolate(gettext("The photograph has %(size)s MB; 12 MB can be taken. Take a smaller one, or none."), {size: (file.size / 1e6).toFixed(1)}, true)
      : "";
    wrong.hidden = !fault;
    wrong.textContent = fault;
    if (fault) return;
    const said = {release, scope: scope.value, seen_on: day.value, country: country.value.trim().toUpperCase(),
      region: region.value.trim(), note: words.value.trim(), count_lines: lines, is_full_count: all.checked};
    if (all.checked) Object.assign(said, {traits_seen: seen, ...(scope.value === "peg" ? {picked_over: picked.value} : {})});
    try {
      await keep({id: newKey(), made_at: new Date().toISOString(), words: interpolate(gettext("%(name)s: %(n)s seen on %(day)s"), {name, n: total(), day: inWords(day.value)}, true), said, photo: file});
      if (before) await forget(before.id);
      close();
    } catch {
      wrong.hidden = false;
      wrong.textContent = gettext("This browser keeps nothing: it may be a private window, or the device is full. Write it down.");
    }
  });
  return form;
}

function openAt(place, before) {
  const link = place.querySelector("a");
  if (place.hidden) place.nextElementSibling.remove();
  const close = () => { place.nextElementSibling.remove(); place.hidden = false; link.focus(); };
  place.after(noteForm(place.closest("[data-release]").dataset.release, close, before));
  place.hidden = true;
  place.nextElementSibling.querySelector("input").focus();
}

const placeOf = (release) => data.releases[release] && sheet.querySelector(`[data-release="${release}"] .note-here`);

for (const place of sheet.querySelectorAll(".note-here")) {
  if (!data.releases[place.closest("[data-release]").dataset.release]) continue;
  place.querySelector("a").addEventListener("click", (event) => {
    event.preventDefault();
    openAt(place);
  });
}
changedBy({can: ({said}) => Boolean(placeOf(said.release)), open: (note) => openAt(placeOf(note.said.release), note)});

// A bar code says which of these releases it may be.
const byCode = document.getElementById("by-code"), behind = document.getElementById("behind");
byCode?.addEventListener("submit", (event) => {
  const digits = byCode.elements.code.value.replace(/\D/g, "");
  const found = (digits && data.codes[digits.padStart(14, "0")]) || [];
  if (!found.length && navigator.onLine) return; // the page online knows all
  event.preventDefault();
  behind.hidden = false;
  behind.replaceChildren(found.length ? gettext("One of these:") + " "
    : interpolate(gettext("Nothing on this sheet has the code %(code)s. With a network, all others can be looked up."), {code: digits || "–"}, true));
  found.forEach((release, n) => {
    const at = sheet.querySelector(`[data-release="${release}"]`);
    at.id ||= `r-${release}`;
    behind.append(n ? ", " : "", make("a", {href: `#${at.id}`}, data.releases[release].name));
  });
});

// Kept on the device, and kept fresh: a later List than that of the sheet means that there is something new.
async function keepSheet() {
  if (!("serviceWorker" in navigator)) return;
  await navigator.serviceWorker.register(worker, {scope: "/hunt/"});
  const parts = [...document.querySelectorAll("link[href], script[src]")].map((part) => part.href || part.src);
  const kept = await caches.open("hunt");
  if (navigator.onLine) await kept.addAll([here, address + query, outbox, ...parts]);
  await navigator.storage?.persist?.();
  document.getElementById("kept").textContent = gettext("Kept on this device: it opens and takes notes without a network.");
}

const ANEW = {cache: "reload", headers: {Anew: "yes"}}; // hunt_sw.js then answers with nothing that was kept

async function freshen() {
  if (document.visibilityState !== "visible" || !navigator.onLine) return;
  const answer = await fetch(address + query, {redirect: "manual", ...ANEW});
  if (!answer.ok) return;
  await compare((await answer.json()).list);
}

async function compare(newest) {
  if (Number(newest ?? 0) <= Number(list || 0)) return;
  const kept = await caches.open("hunt");
  await kept.add(new Request(here, ANEW));
  const told = document.getElementById("fresh");
  told.hidden = false;
  told.replaceChildren(interpolate(gettext("List no. %(n)s is out, and this sheet is older."), {n: newest}, true) + " ", make("a", {href: here}, gettext("Show the new one")));
}

sheet.dataset.ready = "yes";
for (const [on, what] of [[window, "online"], [document, "visibilitychange"]]) on.addEventListener(what, () => freshen().catch(() => {}));
compare(data.list).catch(() => {}); // a slow network brought the sheet that was kept, and then what is new
keepSheet().catch(() => {}); // private windows keep nothing; the sheet works all the same while it is open
