// What was noted in the shop: kept in this browser until it has arrived, and sent once a network is there. Each note
// carries a key of its own, and so does its picture, so that sending it twice counts once. A note is sent only in the
// name of the member who made it.

const box = document.getElementById("outbox");
const [status, list, button] = ["[role=status]", "ul", "button"].map((one) => box.querySelector(one));
const STORE = "notes";
const PATIENCE = 30_000; // milliseconds between two attempts while something waits
let sending = false;

const opened = new Promise((resolve, reject) => {
  const asked = indexedDB.open("castlore-hunt", 1);
  asked.onupgradeneeded = () => asked.result.createObjectStore(STORE, {keyPath: "id"});
  asked.onsuccess = () => resolve(asked.result);
  asked.onerror = () => reject(asked.error);
});

async function stored(mode, act) {
  const moved = (await opened).transaction(STORE, mode);
  const asked = act(moved.objectStore(STORE));
  await new Promise((resolve, reject) => {
    moved.oncomplete = resolve;
    moved.onerror = moved.onabort = () => reject(moved.error);
  });
  return asked.result;
}

const mine = async () => {
  const notes = await stored("readonly", (store) => store.getAll());
  return notes.filter(({member}) => member === box.dataset.member).sort((a, b) => a.made_at.localeCompare(b.made_at));
};

export async function keep(note) {
  await stored("readwrite", (store) => store.put({...note, member: box.dataset.member}));
  await show();
  send();
}

let change = null;
// Who can open a note again says how; a page that cannot only lets it be dropped.
export function changedBy(open) {
  change = open;
  show();
}

export async function forget(id) {
  await stored("readwrite", (store) => store.delete(id));
  await show();
}

async function show(words = "") {
  const notes = await mine();
  const waiting = notes.filter(({refused}) => !refused);
  box.hidden = notes.length === 0 && !words;
  status.textContent = words || (waiting.length
    ? `${interpolate(ngettext("%(n)s note waits on this device.", "%(n)s notes wait on this device.", waiting.length), {n: waiting.length}, true)} ${navigator.onLine ? "" : gettext("Sent when there is a network again.")}`
    : "");
  button.hidden = !waiting.length;
  list.replaceChildren(...notes.map(entry));
}

function entry(note) {
  const told = document.createElement("li");
  const words = [note.words, note.photo ? gettext("with a photograph") : "", note.refused ? interpolate(gettext("Not taken: %(why)s"), {why: note.refused}, true) : ""];
  told.append(words.filter(Boolean).join(". "), " ");
  if (note.refused || !note.tried) {
    const drop = document.createElement("button");
    drop.type = "button";
    drop.className = "quiet";
    drop.textContent = note.refused ? gettext("Drop it") : gettext("Take it back");
    drop.addEventListener("click", () => forget(note.id));
    told.append(drop);
  }
  if (note.refused && !note.sighting && change?.can(note)) {
    const again = document.createElement("button");
    again.type = "button";
    again.textContent = gettext("Change it");
    again.addEventListener("click", () => change.open(note));
    told.append(" ", again);
  }
  return told;
}

class Later extends Error {}

async function ask(address, options) {
  let answer;
  try {
    answer = await fetch(address, {credentials: "same-origin", redirect: "error", ...options});
  } catch {
    throw new Later(gettext("There is no network now. Nothing is lost: it is sent later."));
  }
  if (answer.status === 401) throw new Later("sign in");
  if (answer.status === 429 || answer.status >= 500) throw new Later(gettext("The site is busy. It is tried again in a while."));
  const told = await answer.json().catch(() => ({}));
  if (answer.status === 409 && told.type?.endsWith("/idempotency-in-progress")) throw new Later(gettext("It is being sent."));
  if (told.type?.endsWith("/csrf-failed")) throw new Later("sign in");
  return {ok: answer.ok, told};
}

const token = () => document.cookie.match(/(?:^|; )csrftoken=([^;]+)/)?.[1] ?? "";
const post = (address, key, body, headers = {}) =>
  ask(address, {method: "POST", body, headers: {"X-CSRFToken": token(), "Idempotency-Key": key, ...headers}});
const REFUSALS = {
  "account-closed": gettext("Your account is suspended and can only read."),
  "identity-moved": gettext("A variant that it names was merged, split or struck meanwhile."),
  "image-refused": gettext("This picture cannot be taken."),
  "in-the-future": gettext("Its day has not come yet."),
  "twin-exists": gettext("You reported this example before, and one item counts once."),
  "unknown-reference": gettext("Something that it names is not listed."),
  "validation-failed": gettext("Something in it is not as it should be."),
};

// The API says why in English. Who reads another language hears first, in that, what kind of refusal it is.
function reason({type, detail, errors}) {
  const told = [detail, ...(errors ?? []).map((one) => one.detail)].filter(Boolean).join(" ");
  if (document.documentElement.lang.startsWith("en")) return told;
  return `${REFUSALS[type?.split("/").pop()] ?? gettext("It was refused.")} (${told})`;
}

async function deliver(note) {
  const {sightings, photos} = box.dataset;
  if (!note.sighting) {
    note.tried = true;
    await stored("readwrite", (store) => store.put(note));
    const body = JSON.stringify({...note.said, key: note.id});
    const {ok, told} = await post(sightings, note.id, body, {"Content-Type": "application/json"});
    if (!ok) return refuse({...note, refused: reason(told)});
    note.sighting = told.id;
    await stored("readwrite", (store) => store.put(note));
  }
  if (note.photo) {
    const form = new FormData();
    form.append("sighting", note.sighting);
    form.append("data", note.photo, "photo");
    const {ok, told} = await post(photos, `${note.id}-photo`, form);
    if (!ok) return refuse({...note, photo: null, refused: interpolate(gettext("the sighting is kept, its photograph is not. %(why)s"), {why: reason(told)}, true)});
  }
  await stored("readwrite", (store) => store.delete(note.id));
  return true;
}

async function refuse(note) {
  await stored("readwrite", (store) => store.put(note));
  return false;
}

export async function send() {
  if (sending || !navigator.onLine) return;
  sending = true;
  let words = "";
  try {
    await (navigator.locks?.request("castlore-outbox", deliverAll) ?? deliverAll());
  } catch (fault) {
    if (!(fault instanceof Later)) throw fault;
    words = fault.message;
  } finally {
    sending = false;
  }
  if (words === "sign in") {
    const link = Object.assign(document.createElement("a"), {href: box.dataset.signIn, textContent: gettext("Sign in again")});
    await show(gettext("To send your notes:") + " ");
    status.append(link);
  } else {
    await show(words || done());
  }
  if ((await mine()).some(({refused}) => !refused)) setTimeout(send, PATIENCE);
}

let delivered = 0;
const done = () => (delivered ? interpolate(ngettext("%(n)s note was sent. Thank you for counting.", "%(n)s notes were sent. Thank you for counting.", delivered), {n: delivered}, true) : "");

async function deliverAll() {
  const waiting = (await mine()).filter(({refused}) => !refused);
  if (!waiting.length) return;
  for (const note of waiting) {
    // Asked before each: somebody else may have signed in meanwhile, in another tab.
    const {ok, told} = await ask(box.dataset.me, {});
    if (!ok || told.id !== box.dataset.member) throw new Later("sign in");
    if (await deliver(note)) delivered += 1;
    await show();
  }
}

button.addEventListener("click", send);
addEventListener("online", send);
addEventListener("offline", () => show());
document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && send());
await show();
send();
