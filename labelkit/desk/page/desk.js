// The page: which room is open, what she is typing, and what came back.
import { get, post, latest, tab } from "./net.js";
import { makeField, makeList } from "./fields.js";
import { showLabel, showFindings } from "./label.js";
import { parts, live, showSuite, draw } from "./parts.js";

const $ = (id) => document.getElementById(id);

export function make(tag, props = {}, ...inside) {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(props)) {
    if (name.includes("-")) made.setAttribute(name, value); else if (value !== undefined) made[name] = value;
  }
  made.append(...inside.filter((one) => one !== null && one !== undefined && one !== false));
  return made;
}

// A drawing of the desk's own server: numbers and colours alone. It is parsed, never run.
export function drawing(svg, title = "") {
  const found = new DOMParser().parseFromString(svg, "image/svg+xml").documentElement;
  const made = document.importNode(found, true);
  if (title) { made.setAttribute("role", "img"); made.setAttribute("aria-label", title); } else made.setAttribute("aria-hidden", "true");
  return made;
}

export const desk = {
  event: "", room: "", language: "en", words: {}, known: {}, rooms: [], settings: {}, state: null, pending: new Map(), offered: [],
  languages() { const said = valueAt("label", ["label", "languages"]); return Array.isArray(said) && said.length ? said : ["en"]; },
  languageName(tag) { try { return new Intl.DisplayNames([desk.language], { type: "language" }).of(tag); } catch { return tag; } },
  refresh, structure, go, tell, send, showRoom,
};
export const t = (text) => desk.words[text] || text;
export const linkTo = (room, text, kind = "") => make("a", { className: kind, href: `#${encodeURIComponent(desk.event)}/${room}` }, text);
export const titled = (title, what) => t("{field}: {what}").replace("{field}", title).replace("{what}", what);
export const idOf = (file, keys) => `${file}:${keys.join(".")}`;
export const isBlank = (value) => (typeof value === "string" ? value.includes("<<<") : Array.isArray(value) ? value.some(isBlank) : value && typeof value === "object" ? Object.entries(value).some(([key, one]) => isBlank(key) || isBlank(one)) : false);
export const ghost = (value) => { const words = String(value).replace("<<<", "").trim(); return words.includes("such as ") ? words.split("such as ")[1] : words; };
export function same(one, other) { return JSON.stringify(one ?? null) === JSON.stringify(other ?? null); }

export function valueAt(file, keys) {
  const waiting = desk.pending.get(idOf(file, keys));
  if (waiting) return waiting.value;
  let value = desk.state?.values?.[file];
  for (const key of keys) value = value?.[key];
  return value ?? undefined;
}

function savedAt(file, keys) {
  let value = desk.state?.values?.[file];
  for (const key of keys) value = value?.[key];
  return value ?? null;
}

// -- typing

let timer = 0;
const PAUSE_MS = 650;

export function edit(file, keys, value, now = false, anew = false) {
  const id = idOf(file, keys), before = desk.pending.get(id);
  desk.pending.set(id, { file, keys: [...keys], value, was: before ? before.was : savedAt(file, keys), check: before?.check ?? true });
  if (same(value === "" ? null : value, savedAt(file, keys))) desk.pending.delete(id);
  clearTimeout(timer);
  if (now) send(true).then(() => anew && showRoom());
  else { send(false); timer = setTimeout(() => send(true), PAUSE_MS); }
  mark("typing");
}

// The label first, then what is found on it.
async function drawLabel(edits) {
  const drawn = await post("draw", desk.event, { edits });
  if (!drawn.panels?.length) return;
  const state = { findings: [], mistakes: [], ...desk.state, ...drawn };
  showLabel(state);
  showFindings(state);
}

const ask = latest(async (edits, isLate) => {
  try {
    await drawLabel(edits);
    if (!isLate()) take(await post("show", desk.event, { edits }), edits);
  } catch (error) { fail(error); }
});

let saving = Promise.resolve();
function send(save) {
  const edits = [...desk.pending.values()];
  if (!save) return ask(edits);
  saving = saving.then(async () => {
    const now = [...desk.pending.values()];
    if (!now.length) { mark(""); return; }
    try { take(await post("show", desk.event, { edits: now, save: true }), now); } catch (error) { fail(error); }
  });
  return saving;
}

// What the page knows after an answer. Fields she is typing in are left alone.
function take(state, edits = []) {
  if (state.error) { tell(state.error); return; }
  const before = desk.state;
  desk.state = state;
  for (const [file, keys] of state.saved || []) {
    const id = idOf(file, keys), waiting = desk.pending.get(id), sent = edits.find((one) => idOf(one.file, one.keys) === id);
    if (waiting && sent && waiting.value === sent.value) desk.pending.delete(id); else if (waiting) waiting.was = savedAt(file, keys);
  }
  showLabel(state);
  if (!same(before?.pieces, state.pieces)) showSuite();
  showMistakes(state);
  showHead();
  showRooms();
  if (before && desk.room && !edits.length && !same(before.values, state.values)) showRoom();
  else showLive(state);
  mark(desk.pending.size ? "held" : "");
}

// What a room works out of its own fields follows them while she types; what is asked for anew, once
// it is saved.
function showLive(state) {
  if (state.saved?.some(([, keys]) => keys[1] !== "layout")) draw();
  for (const box of document.querySelectorAll("#room [data-live]")) {
    if (live[box.dataset.live] === "saved" && !state.saved?.length) continue;
    const fresh = make("div"), turn = box.dataset.turn = String(Number(box.dataset.turn || 0) + 1);
    Promise.resolve(parts[box.dataset.live](fresh)).then(() => { if (box.dataset.turn === turn) box.replaceChildren(...fresh.childNodes); });
  }
}

async function refresh(edits = [...desk.pending.values()]) {
  try {
    if (!desk.state) await drawLabel(edits);
    take(await post("show", desk.event, { edits }), edits);
  } catch (error) { fail(error); }
}

async function structure(change) {
  const focused = document.activeElement?.closest("[data-group]")?.dataset.group;
  await send(true);
  const edits = (Array.isArray(change) ? change : [change]).map((one) => ({ was: savedAt(one.file, one.keys), ...one }));
  take(await post("show", desk.event, { edits, save: true }), edits);
  showRoom();
  const group = focused !== undefined && document.querySelector(`[data-group="${focused}"]`);
  if (group) (edits[0].do === "add" ? [...group.querySelectorAll(".entry")].at(-1)?.querySelector("input, select") : group.querySelector("button"))?.focus();
}

function mark(how) {
  const says = { typing: t("…"), held: t("Not saved yet: something is to be put right"), "": t("Saved in your files") };
  const box = $("saved");
  if (box) box.textContent = how === "" && desk.state && !desk.state.undo ? "" : says[how];
}

function fail(error) { tell(error.message === "Failed to fetch" ? t("The desk has ended. Start it again with labelkit open.") : `${t("Something went wrong")} (${error.message})`); }

let quiet = 0;
export function tell(text) { $("say").textContent = text; clearTimeout(quiet); quiet = setTimeout(() => { $("say").textContent = ""; }, 7000); }

// -- what is wrong, beside its field

const meets = (one, other) => one.slice(0, Math.min(one.length, other.length)).every((key, n) => String(key) === String(other[n]));

let patience = 0;
function showMistakes(state) {
  clearTimeout(patience);
  const typing = document.activeElement?.closest(".field");
  placeMistakes(state, typing);
  if (typing) patience = setTimeout(() => placeMistakes(state, null), PAUSE_MS);
}

function placeMistakes(state, except) {
  for (const field of document.querySelectorAll(".field[data-id]")) {
    if (field === except) { const now = field.querySelector(".wrongs"); if (now && !mistakesOf(state, field).length) now.remove(); continue; }
    const found = mistakesOf(state, field), blank = state.mistakes.some((one) => one.blank && touches(one, field));
    field.classList.toggle("wrong", found.length > 0);
    field.classList.toggle("blank", blank && !found.length);
    put(field, "wrongs", found.map((one) => one.message).join(" "));
    offer(field, found.find((one) => one.offers?.length)?.offers || []);
    for (const input of field.querySelectorAll("input, textarea, select")) input.setAttribute("aria-invalid", String(found.length > 0));
    const clash = (state.conflicts || []).find((one) => idOf(one.file, one.keys) === field.dataset.id);
    showConflict(field, clash);
  }
  showFindings(state);
}
const touches = (mistake, field) => { const [file, ...rest] = field.dataset.id.split(":"); return mistake.file === file && mistake.keys.length > 0 && meets(mistake.keys, rest.join(":").split(".")); };
const mistakesOf = (state, field) => [...(field.dataset.odd ? [{ message: field.dataset.odd }] : []), ...state.mistakes.filter((one) => !one.blank && touches(one, field))];
export const tellOdd = (field) => { if (field.isConnected) placeMistakes(desk.state, null); };

export function put(field, name, text) {
  let line = field.querySelector(`.${name}`);
  if (!text) { line?.remove(); return null; }
  if (!line) { line = make("p", { className: name }); if (name === "wrongs") line.id = `${field.dataset.id}!`; field.querySelector(".hint").before(line); }
  if (line.textContent !== text) line.textContent = text;
  return line;
}

// What a complaint says to write instead, to be pressed; what stands there is left to it.
function offer(field, offers) {
  const as = JSON.stringify(offers), now = field.querySelector(".offers"), input = document.getElementById(field.dataset.id);
  if (now?.dataset.as === as) return;
  now?.remove();
  if (!offers.length || !input) return;
  const row = make("p", { className: "row offers" }, ...offers.map((text) => {
    const press = make("button", { type: "button" }, `${text}?`);
    press.addEventListener("click", () => { input.value = text; input.focus(); input.dispatchEvent(new Event("change")); });
    return press;
  }));
  row.dataset.as = as;
  field.querySelector(".hint").before(row);
}

function showConflict(field, clash) {
  field.querySelector(".conflict")?.remove();
  if (!clash) return;
  const choose = (value, check) => {
    const waiting = desk.pending.get(field.dataset.id);
    if (check) desk.pending.delete(field.dataset.id); else Object.assign(waiting, { check: false });
    send(true).then(() => refresh().then(showRoom));
  };
  const mine = make("button", { type: "button" }, t("Keep mine")), theirs = make("button", { type: "button" }, t("Take the other"));
  mine.addEventListener("click", () => choose(clash.mine, false));
  theirs.addEventListener("click", () => choose(clash.theirs, true));
  const plain = (value) => (typeof value === "string" ? value : JSON.stringify(value));
  field.append(make("div", { className: "conflict", role: "alert" }, make("p", {}, t("Another program changed this meanwhile.")), make("p", {}, titled(t("Yours"), plain(clash.mine))), make("p", {}, titled(t("The other"), plain(clash.theirs))), make("div", { className: "row" }, mine, theirs)));
}

// -- the page

function showHead() {
  const back = $("undo-all");
  if (back) back.hidden = !desk.state?.undo;
  const head = $("head"), as = JSON.stringify([desk.event, desk.language, desk.state?.title, desk.state?.weekday, desk.state?.undo, desk.state?.redo]);
  if (head.dataset.as === as) return;
  const held = document.activeElement?.id;
  head.dataset.as = as;
  head.replaceChildren();
  const brand = make("a", { className: "brand", href: "#", title: t("All events") }, icon(), "labelkit");
  const other = desk.language === "fr" ? ["en", "English"] : ["fr", "Français"];
  const language = make("button", { type: "button", className: "plain", lang: other[0] }, other[1]);
  language.addEventListener("click", async () => { desk.settings = await post("settings", "", { language: other[0] }); await load(); });
  head.append(brand);
  if (!desk.event) { head.append(make("span", { className: "event" }), language); return; }
  const step = (way, name, says) => {
    const made = make("button", { type: "button", disabled: !desk.state?.[way], id: way }, name);
    made.addEventListener("click", async () => { desk.pending.clear(); const state = await post(way, desk.event, {}); take(state); showRoom(); if (!state.error) tell(state.step ? titled(says, state.step) : `${says}.`); });
    return made;
  };
  const kept = $("saved")?.textContent || "";
  head.append(make("span", { className: "event" }, desk.state?.title && !isBlank(desk.state.title) ? `${desk.state.title}${desk.state.weekday ? ` · ${desk.state.weekday}` : ""}` : ""), make("span", { id: "saved" }, kept), step("undo", t("Undo"), t("Taken back")), step("redo", t("Redo"), t("Brought back")), language);
  if (["undo", "redo"].includes(held)) $(held).focus();
}

function icon() {
  return drawing('<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 32 32"><rect x="2" y="6" width="28" height="20" rx="5" fill="#e9c98f"/><rect x="7" y="10" width="18" height="12" rx="2" fill="#fffdf9"/><path d="M10 14h12M10 18h8" stroke="#2c584b" stroke-width="1.8" stroke-linecap="round"/></svg>');
}

let listed = "";
function showRooms() {
  const rooms = desk.rooms.map((room) => ({ ...room, open: openIn(room) })), list = make("ol");
  const as = JSON.stringify([desk.event, desk.room, rooms.map((one) => [one.title, one.open])]), nav = $("rooms");
  if (as === listed && nav.firstChild) return;
  listed = as;
  for (const room of rooms) {
    const link = linkTo(room.id, room.title), open = room.open;
    if (room.id === desk.room) link.setAttribute("aria-current", "page");
    if (open.wrong) link.append(make("span", { className: "count wrong", title: t("to be put right") }, `✕ ${open.wrong}`));
    else if (open.blank) link.append(make("span", { className: "count", title: t("still to be filled in") }, `○ ${open.blank}`));
    list.append(make("li", {}, link));
  }
  nav.setAttribute("aria-label", t("Rooms"));
  const at = nav.scrollLeft;
  nav.replaceChildren(list);
  nav.scrollLeft = at;
}

function openIn(room) {
  const state = desk.state;
  if (!state) return { wrong: 0, blank: 0 };
  if (room.id === "ready") return { wrong: state.findings.filter((one) => one.level === "fail").length, blank: 0 };
  const at = room.groups.flatMap((group) => [...group.fields.map((field) => [field.file, field.keys]), ...group.lists.map((list) => [list.file, list.keys])]);
  const here = state.mistakes.filter((one) => one.keys.length && at.some(([file, keys]) => file === one.file && meets(one.keys, keys)));
  return { wrong: here.filter((one) => !one.blank).length, blank: here.filter((one) => one.blank).length };
}

let folds = new Map();
export function showRoom() {
  const room = desk.rooms.find((one) => one.id === desk.room), box = $("room");
  const held = document.activeElement?.id, place = scrollY;
  for (const one of box.querySelectorAll("details.group")) folds.set(one.dataset.group, one.open);
  const made = [make("h1", {}, room.title), make("p", { className: "lead" }, room.lead)];
  const stray = desk.state.mistakes.filter((one) => !one.keys.length);
  for (const one of stray) made.push(make("p", { className: "stop", role: "alert" }, [one.file, one.where, one.message].filter(Boolean).join(": ")));
  room.groups.forEach((group, number) => made.push(makeGroup(room, group, number)));
  const next = desk.rooms[desk.rooms.indexOf(room) + 1];
  const all = make("button", { type: "button", className: "plain", id: "undo-all", hidden: !desk.state.undo }, t("Put everything back as it was when I opened it"));
  all.addEventListener("click", async () => { desk.pending.clear(); take(await post("undo", desk.event, { all: true })); showRoom(); });
  made.push(make("p", { className: "row apart" }, all, next ? linkTo(next.id, titled(t("On to"), `${next.title} →`), "button main") : ""));
  box.replaceChildren(...made);
  placeMistakes(desk.state, null);
  if (held && $(held)) { $(held).focus({ preventScroll: true }); scrollTo(0, place); }
}

function makeGroup(room, group, number) {
  const name = `${room.id}${number}`;
  const box = make(group.folded ? "details" : "section", { className: `group${!group.title && !group.fields.length ? " bare" : ""}` });
  box.dataset.group = name;
  const here = [...group.fields.map((field) => [field.file, field.keys]), ...group.lists.map((list) => [list.file, list.keys])];
  const asks = desk.state.mistakes.some((one) => one.keys.length && here.some(([file, keys]) => file === one.file && meets(one.keys, keys)));
  if (group.folded) box.open = folds.get(name) ?? asks;
  const inside = group.folded ? make("div", { className: "inside" }) : box;
  if (group.title) { const title = make(group.folded ? "summary" : "h2", {}, group.title); box.append(title); if (!group.folded) { title.id = `t-${name}`; box.setAttribute("aria-labelledby", title.id); } }
  if (group.folded) box.append(inside);
  if (group.lead) inside.append(make("p", { className: "lead" }, group.lead));
  for (const field of group.fields) {
    if (field === group.fields[0] || field.heading) inside.append(...(field.heading ? [make("h3", {}, field.heading)] : []), make("div", { className: "fields" }));
    inside.lastChild.append(makeField(field));
  }
  for (const list of group.lists) {
    if (group.lists.length > 1 || group.fields.length) inside.append(make("h3", {}, list.about));
    inside.append(makeList(list, group.title || list.about));
  }
  if (group.part && live[group.part]) { const at = make("div", { "data-live": group.part }); inside.append(at); parts[group.part](at); }
  else if (group.part && parts[group.part]) parts[group.part](inside, group);
  return box;
}

export function go(file, keys) {
  const found = desk.rooms.find((room) => room.groups.some((group) => group.fields.some((field) => field.file === file && meets(field.keys, keys)) || group.lists.some((list) => list.file === file && meets(list.keys, keys))));
  if (!found) return;
  const reach = () => {
    const field = [...document.querySelectorAll(".field[data-id]")].find((one) => { const [at, ...rest] = one.dataset.id.split(":"); return at === file && meets(keys.map(String), rest.join(":").split(".")); });
    if (!field) return;
    for (let up = field; up; up = up.parentElement) if (up.tagName === "DETAILS") up.open = true;
    const input = field.querySelector("input:checked") || field.querySelector("input, textarea, select");
    input?.focus({ preventScroll: true });
    field.scrollIntoView({ block: "center", behavior: matchMedia("(prefers-reduced-motion: reduce)").matches ? "auto" : "smooth" });
  };
  if (found.id === desk.room) reach(); else { location.hash = `${encodeURIComponent(desk.event)}/${found.id}`; setTimeout(reach, 60); }
}

// -- all events

function showHome() {
  document.title = "labelkit";
  for (const id of ["rooms", "label"]) $(id).replaceChildren();
  $("rooms").hidden = $("label").hidden = true;
  const title = make("input", { id: "new-title", autocomplete: "off", required: true }), region = make("select", { id: "new-region" }, ...desk.known.regions.map((one) => make("option", { value: one.value, selected: one.value === "CA" }, one.name)));
  const form = make("form", { className: "group" }, make("h2", {}, t("A new event")), make("div", { className: "fields" }, make("div", { className: "field" }, make("label", { htmlFor: "new-title" }, t("What is it called?")), title, make("p", { className: "hint" }, t("The people or the society, such as Ada & Bo. It names the folder as well."))), make("div", { className: "field" }, make("label", { htmlFor: "new-region" }, t("Where are the favours sold or given?")), region, make("p", { className: "hint" }, t("You may add more later.")))), make("p", {}, make("button", { className: "main" }, t("Begin"))));
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    const made = await post("new", "", { title: title.value, region: region.value });
    if (made.error) tell(made.error); else { desk.events = made.events; location.hash = `${encodeURIComponent(made.event)}/order`; }
  });
  const cards = desk.events.map((one) => make("a", { className: "card", href: `#${encodeURIComponent(one.id)}/order` }, make("strong", {}, one.title || one.folder), make("span", { className: "soft small" }, one.date ? new Date(`${one.date}T12:00`).toLocaleDateString(desk.language, { dateStyle: "full" }) : t("no day yet"))));
  $("room").className = "home";
  $("room").replaceChildren(make("h1", {}, cards.length ? t("Your events") : t("Good day. Let us begin.")), make("p", { className: "lead" }, t("Everything you write stays in plain files in this folder, on this computer.")), cards.length ? make("div", { className: "cards" }, ...cards) : "", make("br"), desk.only ? "" : form);
  showHead();
  if (!cards.length) title.focus();
}

async function route() {
  if (!desk.events) return;
  const [event, room] = location.hash.slice(1).split("/").map(decodeURIComponent);
  let chosen = event;
  if (!chosen && desk.events.length === 1 && (desk.only || desk.events[0].id === "~") && !location.hash) chosen = desk.events[0].id;
  if (!chosen || !desk.events.some((one) => one.id === chosen)) { if (desk.event) await send(true); desk.event = ""; desk.state = null; showHome(); return; }
  $("rooms").hidden = $("label").hidden = false;
  $("room").className = "";
  const moved = desk.event !== chosen;
  if (!moved) await send(true);
  desk.event = chosen;
  desk.room = desk.rooms.some((one) => one.id === room) ? room : "order";
  if (moved) { desk.pending.clear(); desk.state = null; await refresh([]); }
  if (!desk.state) return;
  showRooms();
  showRoom();
  const title = desk.rooms.find((one) => one.id === desk.room).title;
  document.title = `${title} – ${desk.state.title || "labelkit"}`;
  const nav = $("rooms"), here = nav.querySelector("[aria-current]");
  if (here) nav.scrollLeft = here.offsetLeft - nav.clientWidth / 3;
  if (!moved) { $("room").focus({ preventScroll: true }); scrollTo(0, 0); }
}

async function load() {
  const found = await get(`ask/desk?language=${navigator.language.slice(0, 2)}`);
  Object.assign(desk, found);
  document.documentElement.lang = desk.language;
  $("skip").textContent = t("To the fields");
  const materials = make("datalist", { id: "materials" }, ...desk.known.materials.map((one) => make("option", { value: one })));
  $("materials")?.remove();
  document.body.append(materials);
  if (desk.event) { await refresh(); showRooms(); showRoom(); } else await route();
}

// Says every two seconds that this tab is open, and hears whether a file was changed elsewhere.
async function beat() {
  try {
    const heard = await get(`ask/alive/${tab}?event=${encodeURIComponent(desk.event)}`);
    if (desk.event && desk.state && heard.version && heard.version !== desk.state.version) await refresh();
  } catch { /* told when she next does something */ }
}

addEventListener("hashchange", route);
addEventListener("pagehide", () => {
  const save = [...desk.pending.values()];
  const said = (path, body) => fetch(path, { method: "POST", keepalive: true, headers: { "Content-Type": "application/json" }, body: JSON.stringify(body) });
  if (desk.event && save.length) said(`do/show/${encodeURIComponent(desk.event)}`, { edits: save, save: true });
  said(`ask/gone/${tab}`, {});
});
addEventListener("keydown", (event) => {
  if ((event.ctrlKey || event.metaKey) && event.key === "s") { event.preventDefault(); send(true); }
});
setInterval(beat, 2000);
beat();
load();
