// Draws what the server sends, and sends presses. Without it the page reloads by itself.
"use strict";
const at = (id) => document.getElementById(id);
const role = document.documentElement.dataset.role;
let scene = null, heardAt = 0, waiting = 0, labels = {};

const put = (id, text) => { const node = at(id); if (node && node.textContent !== text) node.textContent = text; };
const two = (n) => String(n).padStart(2, "0");
const shown = (s) => { const w = Math.max(Math.round(s), 0); return `${Math.floor(w / 60)}:${two(w % 60)}`; };

function tick() {
  if (!scene) return;
  const now = scene.now + (performance.now() - heardAt) / 1000;
  let text = "";
  if (scene.stands_at !== null) text = shown(scene.stands_at);
  else if (scene.counts_to !== null) text = shown(scene.counts_to - now);
  else if (scene.counts_from !== null) text = shown(now - scene.counts_from);
  put("clock", text);
}

function node(name, text, kind) {
  const made = document.createElement(name);
  if (text) made.textContent = text;
  if (kind) made.className = kind;
  return made;
}

function names(list, kind, head) {
  const line = node("p", head ? head + " " : "", kind);
  for (const one of list) { line.append(role === "leader" && kind === "here" ? button(one.key, one.label, "presses") : node("span", one.label), " "); }
  if (!list.length) line.append("-");
  return line;
}

function button(key, label, form) {
  const made = node("button", label);
  if (form) made.setAttribute("form", form);
  made.name = "what"; made.value = key; made.disabled = scene.over;
  return made;
}

function buttons() {
  const own = ["pause", "resume", "hurt", "stop"];
  at("offers").replaceChildren(...scene.offers.filter((o) => !own.includes(o.key)).map((o) => button(o.key, o.label)));
  const stand = scene.standing ? button("resume", labels.resume) : button("pause", labels.pause);
  at("fixed").replaceChildren(stand, button("hurt", labels.hurt));
  document.querySelector("input[name=state]").value = scene.state;
}

function draw(next) {
  const before = scene;
  scene = next; heardAt = performance.now();
  put("word", scene.word); put("title", scene.title); put("cue", scene.cue); put("did", scene.did);
  put("turn", scene.turn || (scene.next ? labels.next.replace("{name}", scene.next) : ""));
  const places = (s) => s.stations.concat(s.away.length ? [{ name: labels.away, now: s.away, next: [] }] : []);
  if (!before || JSON.stringify(places(before)) !== JSON.stringify(places(scene))) {
    at("stations").replaceChildren(...places(scene).map((s) => {
      const card = node("li"); card.append(node("h3", s.name), names(s.now, "here"));
      if (s.next.length) card.append(names(s.next, "next", labels.then));
      return card;
    }));
    page = 0;
  }
  const changed = !before || before.state !== scene.state || before.over !== scene.over
    || JSON.stringify(before.offers) !== JSON.stringify(scene.offers);
  if (role !== "watch" && changed) buttons();
  tick(); fit();
}

// Letters as large as the room allows: shrink until all fits, then turn over in pages, told.
let page = 0;
function fit() {
  if (role !== "watch" || innerWidth < 900) return;
  const cards = [...at("stations").children], root = document.documentElement.style;
  const fits = () => document.documentElement.scrollHeight <= innerHeight + 1;
  for (const card of cards) card.hidden = false;
  let scale = 6;
  for (; scale >= 0.8; scale -= 0.1) { root.setProperty("--scale", scale); if (fits()) break; }
  if (fits() || !cards.length) return;
  const size = Math.max(Math.floor(cards.length / 2), 1), pages = Math.ceil(cards.length / size);
  cards.forEach((card, n) => { card.hidden = Math.floor(n / size) !== page % pages; });
  put("did", `${page % pages + 1} / ${pages}`);  // a watcher is told nothing else there
}
setInterval(() => { page += 1; fit(); }, 8000);
addEventListener("resize", fit);
setInterval(tick, 200);

async function send(what) {
  const body = new URLSearchParams({ what, state: scene ? scene.state : "" });
  try {
    const reply = await fetch("press", { method: "POST", body, headers: { Accept: "application/json" } });
    const told = await reply.json();
    put("reply", told.reply);
    clearTimeout(waiting); at("undo").replaceChildren();
    if (told.waits) {
      const undo = button(`take-back:${told.number}`, labels.undo);
      at("undo").replaceChildren(undo); undo.focus();
      waiting = setTimeout(() => at("undo").replaceChildren(), told.waits * 1000);
    }
  } catch { put("reply", labels.lost); }
}

const form = at("presses");
if (form) form.addEventListener("submit", (event) => {
  event.preventDefault();
  if (event.submitter) send(event.submitter.value);
});

async function stayAwake() {
  try { if ("wakeLock" in navigator) await navigator.wakeLock.request("screen"); } catch { /* the battery is low */ }
}
document.addEventListener("visibilitychange", () => { if (!document.hidden) stayAwake(); });
stayAwake();

const source = new EventSource("events");
source.addEventListener("labels", (event) => { labels = JSON.parse(event.data); });
source.addEventListener("scene", (event) => { at("link").hidden = true; draw(JSON.parse(event.data)); });
source.addEventListener("over", () => source.close());
source.onerror = () => { at("link").hidden = false; };
