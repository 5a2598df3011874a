// The fields of a room, each made by the kind of its value.
import { make, t, desk, valueAt, edit, idOf, isBlank, ghost, tellOdd } from "./desk.js";

const number = (value) => value.toLocaleString(desk.language, { useGrouping: false });
const WIDE = new Set(["words", "ink", "texts", "shares", "days"]);
const MEASURES = { mass: "g", length: "mm", size: "mm", share: "%" };

export function makeField(field, keys = field.keys) {
  const id = idOf(field.file, keys), value = valueAt(field.file, keys);
  const ways = { words: makeWords, texts: makeLines, flag: makeFlag, choice: makeChoice, date: makeDate,
    colour: makeColour, ink: makeInk, shares: makePairs, days: makePairs };
  const special = { "label.languages": makeLanguages, "label.regions": makeRegions, "defaults.regions": makeRegions,
    "plan.closed": makeWeekdays, "plan.suppliers_closed": makeWeekdays, "defaults.stock": makeStockChoice,
    "label.stock": makeStockChoice, "label.layout": makeLayoutChoice, "maker.country": makeCountryChoice, "front.leave_out": makeLeftOut, "back.leave_out": makeLeftOut };
  const way = special[field.keys.filter((k) => typeof k === "string").join(".")] || ways[field.kind] || makeLine;
  const grouped = [makeWords, makeInk, makeChoice, makePairs, makeLanguages, makeRegions, makeWeekdays, makeLeftOut, makeFlag].includes(way);
  const box = make(grouped ? "fieldset" : "div", { className: `field${WIDE.has(field.kind) || field.wide ? " wide" : ""}` });
  box.dataset.id = id;
  box.append(make(grouped ? "legend" : "label", grouped ? {} : { htmlFor: id }, field.name));
  way(box, field, keys, value, id);
  const unit = field.range && !MEASURES[field.kind] && field.unit ? ` (${number(field.range[0])} – ${number(field.range[1])}\u00a0${field.unit})` : "";
  box.append(make("p", { className: "hint", id: `${id}?` }, field.about + unit));
  return box;
}

function atHome(field) {
  const home = field.file !== "label" ? null : field.keys[0] === "plan" ? field.keys : ["regions", "stock"].includes(field.keys[1]) && field.keys[0] === "label" ? ["defaults", field.keys[1]] : null;
  return home ? valueAt("maker", home) : undefined;
}

// What holds where nothing is typed: what the workshop says, else what labelkit takes.
function hintOf(field) {
  const there = atHome(field);
  if (there !== undefined && there !== null && typeof there !== "object" && !isBlank(there)) return t("as in the workshop: {what}").replace("{what}", there);
  return field.default ? t("unless given: {what}").replace("{what}", field.default.replaceAll('"', "")) : field.example ? t("such as {what}").replace("{what}", field.example) : "";
}

function typed(input, field, keys, read = () => input.value) {
  input.setAttribute("aria-describedby", `${idOf(field.file, keys)}! ${idOf(field.file, keys)}?`);
  input.addEventListener("input", () => edit(field.file, keys, read()));
  input.addEventListener("change", () => edit(field.file, keys, read(), true));
  return input;
}

function shown(input, value) {
  if (isBlank(value)) input.placeholder = ghost(value);
  else input.value = value ?? "";
}

function makeLine(box, field, keys, value, id) {
  const input = make("input", { id, autocomplete: "off", placeholder: hintOf(field) });
  if (["integer", "number"].includes(field.kind)) input.inputMode = "decimal";
  if (field.keys.at(-1) === "telephone") input.type = "tel";
  const names = { material: "materials", essential_oil: "materials", item: "materials" }[keys.at(-1)];
  if (names) input.setAttribute("list", names);
  shown(input, Array.isArray(value) ? value.join(", ") : value);
  typed(input, field, keys);
  box.append(input);
}

function makeDate(box, field, keys, value, id) {
  const input = make("input", { id, type: "date", min: "1900-01-01", max: "2999-12-31" });  // a year has four figures
  shown(input, value);
  const day = make("span", { className: "small soft" });
  const tell = () => { const at = /^\d{4}-/.test(input.value) && new Date(`${input.value}T12:00`); day.textContent = at ? at.toLocaleDateString(desk.language, { weekday: "long" }) : ""; };
  input.addEventListener("input", tell); tell();
  // A day that is not in the calendar, or not whole yet, is none: what stood there stays.
  let first = input.value;
  input.addEventListener("focus", () => { if (!input.validity.badInput) first = input.value; });
  let patience = 0;
  const refuse = () => {
    if (!input.validity.badInput || !box.isConnected) return;
    box.dataset.odd = t("There is no such day in the calendar. What stood there before is kept.");
    edit(field.file, keys, first, true);
    tellOdd(box);
  };
  const check = (event) => {
    clearTimeout(patience);
    if (input.validity.badInput) { event.stopImmediatePropagation(); patience = setTimeout(refuse, event.type === "blur" ? 0 : 1500); }
    else if (box.dataset.odd) { delete box.dataset.odd; tellOdd(box); }
  };
  for (const name of ["input", "change", "keyup", "blur"]) input.addEventListener(name, check);
  typed(input, field, keys);
  box.append(make("span", { className: "unit" }, input, day));
}

function makeWords(box, field, keys, value) {
  const plain = value === undefined || value === null || typeof value === "string";
  const tongues = desk.languages();
  const words = plain ? Object.fromEntries(tongues.map((tag) => [tag, value ?? ""])) : { ...value };
  const inputs = {};
  const read = () => {
    const now = { ...words };
    for (const tag of tongues) now[tag] = inputs[tag].value || (isBlank(words[tag]) ? words[tag] : "");
    const said = Object.entries(now).filter(([, text]) => text);
    if (plain && new Set(tongues.map((tag) => now[tag])).size === 1) return now[tongues[0]];
    return Object.fromEntries(said);
  };
  for (const tag of tongues) {
    const input = make("input", { id: `${idOf(field.file, keys)}.${tag}`, autocomplete: "off", lang: tag });
    input.setAttribute("aria-label", `${field.name}, ${desk.languageName(tag)}`);
    shown(input, words[tag]);
    inputs[tag] = typed(input, field, keys, read);
    box.append(make("div", { className: "tongue" }, make("span", {}, tag), input));
  }
}

function makeLines(box, field, keys, value, id) {
  const list = value === undefined || value === null ? [] : Array.isArray(value) ? value : [value];
  const input = make("textarea", { id, rows: Math.max(2, list.length) });
  if (list.some(isBlank)) input.placeholder = list.map((one) => (isBlank(one) ? ghost(one) : one)).join("\n");
  else input.value = list.join("\n");
  input.placeholder ||= hintOf(field);
  typed(input, field, keys, () => input.value.split("\n").map((line) => line.trim()).filter(Boolean));
  box.append(input);
}

function radios(box, field, keys, value, options) {
  const name = idOf(field.file, keys), row = make("div", { className: "choices" });
  for (const option of options) {
    const input = make("input", { type: "radio", name, value: option.value, checked: String(value ?? "") === option.value });
    input.addEventListener("change", () => edit(field.file, keys, option.send ?? option.value, true));
    row.append(make("label", {}, input, option.name));
  }
  box.append(row);
}

function makeChoice(box, field, keys, value) {
  radios(box, field, keys, isBlank(value) ? "" : value ?? field.unset, field.oneOf);
}

function makeFlag(box, field, keys, value) {
  radios(box, field, keys, value === undefined || value === null ? "" : String(value), [
    { value: "", name: t("as usual"), send: null }, { value: "true", name: t("yes"), send: true }, { value: "false", name: t("no"), send: false },
  ]);
}

function makeColour(box, field, keys, value, id) {
  const text = make("input", { id, placeholder: hintOf(field), autocomplete: "off" });
  const pick = make("input", { type: "color", value: /^#[0-9a-f]{6}$/i.test(value) ? value : "#ffffff" });
  pick.setAttribute("aria-label", `${field.name}: ${t("choose a colour")}`);
  shown(text, value);
  typed(text, field, keys);
  text.addEventListener("input", () => { if (/^#[0-9a-f]{6}$/i.test(text.value)) pick.value = text.value; });
  pick.addEventListener("input", () => { text.value = pick.value; edit(field.file, keys, pick.value); });
  box.append(make("span", { className: "unit" }, text, pick));
}

// An ink by its name, or a colour of her own.
function makeInk(box, field, keys, value, id) {
  const named = field.oneOf.some((one) => one.value === value);
  radios(box, field, keys, named || !value ? value ?? "" : null, [{ value: "", name: t("as the design has it"), send: null }, ...field.oneOf]);
  const row = box.lastChild, own = make("div", { className: "own" });
  for (const input of row.querySelectorAll("input")) {
    if (input.value) input.after(swatch(desk.known.inks[input.value]));
    input.addEventListener("change", () => { own.querySelector("input").value = ""; });
  }
  own.append(make("label", { htmlFor: id, className: "small" }, t("or a colour of your own")));
  makeColour(own, { ...field, default: "", example: "#4f5d3a" }, keys, named ? "" : value, id);
  own.addEventListener("input", () => { for (const input of row.querySelectorAll("input")) input.checked = false; });
  box.append(own);
}

function swatch(colour) {
  const made = make("span", { className: "swatch", "aria-hidden": "true" });
  made.style.background = colour;
  return made;
}

function boxes(box, field, keys, value, options, least = 0) {
  const row = make("div", { className: "choices" });
  let chosen = (Array.isArray(value) ? value : value ? [value] : []).filter((one) => !isBlank(one));
  for (const option of options) {
    const input = make("input", { type: "checkbox", checked: chosen.includes(option.value) });
    input.addEventListener("change", () => {
      chosen = input.checked ? [...chosen, option.value] : chosen.filter((one) => one !== option.value);
      if (chosen.length < least) { input.checked = true; chosen = [option.value]; return; }
      edit(field.file, keys, chosen, true);
    });
    row.append(make("label", {}, input, option.name));
  }
  box.append(row);
}

function makeLanguages(box, field, keys, value) {
  const tags = [...new Set([...(value || []), "en", "fr", "nl", "de", "fi", "sv", "es"])];
  boxes(box, field, keys, value, tags.map((tag) => ({ value: tag, name: desk.languageName(tag) })), 1);
}

function makeRegions(box, field, keys, value) {
  const first = ["CA", "CA-QC", "US", "EU", "BE", "FI", "GB", "AU", "NZ"];
  value ??= atHome(field);  // the workshop's stand ticked until the order says its own
  const known = desk.known.regions, has = (one) => first.includes(one.value) || (value || []).includes(one.value);
  boxes(box, field, keys, value, known.filter(has));
  const more = make("select", {}, make("option", { value: "" }, t("another region …")), ...known.filter((one) => !has(one)).map((one) => make("option", { value: one.value }, one.name)));
  more.setAttribute("aria-label", t("another region …"));
  more.addEventListener("change", () => more.value && edit(field.file, keys, [...(value || []).filter((one) => !isBlank(one)), more.value], true, true));
  box.append(more);
}

function makeWeekdays(box, field, keys, value) {
  boxes(box, field, keys, value, field.oneOf);
}

// What the side says now, to be ticked away; a field of the list is called with a stroke.
function makeLeftOut(box, field, keys, value) {
  const side = desk.state.panels.find((one) => one.name === field.keys[0]), named = side?.fields || {};
  const left = (value || []).map((one) => one.replaceAll("_", "-"));
  boxes(box, field, keys, left, [...new Set([...Object.keys(named), ...left])].map((one) => ({ value: one, name: named[one] || one })));
}

function select(box, field, keys, value, id, options) {
  const list = options.some((one) => one.value === value) || !value || isBlank(value) ? options : [{ value, name: value }, ...options];
  const input = make("select", { id }, make("option", { value: "" }, field.default ? hintOf(field) : "–"), ...list.map((one) => make("option", { value: one.value, selected: one.value === value }, one.name)));
  typed(input, field, keys);
  box.append(input);
}

function makeStockChoice(box, field, keys, value, id) {
  select(box, field, keys, value, id, desk.known.stocks.map((one) => ({ value: one.name, name: one.title })));
}

function makeCountryChoice(box, field, keys, value, id) {
  select(box, field, keys, value, id, desk.known.countries);
}

function makeLayoutChoice(box, field, keys, value, id) {
  select(box, field, keys, value, id, desk.known.layouts.map((one) => ({ value: one.name, name: one.title })));
}

// Shares or days by name: a row for each, and one more.
function makePairs(box, field, keys, value) {
  const rows = make("div");
  const add = (name, share) => {
    const left = make("input", { value: isBlank(name) ? "" : name, placeholder: isBlank(name) ? ghost(name) : "" });
    const right = make("input", { value: isBlank(share) || share === undefined ? "" : Array.isArray(share) ? share.join(", ") : share, placeholder: isBlank(share) ? ghost(share) : "" });
    left.setAttribute("aria-label", `${field.name}: ${t("name")}`);
    right.setAttribute("aria-label", `${field.name}: ${field.kind === "days" ? t("day") : t("share")}`);
    const away = make("button", { type: "button", className: "away" }, "✕");
    away.setAttribute("aria-label", t("take away"));
    const row = make("div", { className: "pair" }, left, right, away);
    const send = (now) => {
      const all = {};
      for (const one of rows.children) {
        const [name, share] = one.querySelectorAll("input");
        if (!name.value || !share.value) continue;
        all[name.value] = field.kind === "days" && share.value.includes(",") ? share.value.split(",").map((day) => day.trim()) : share.value;
      }
      edit(field.file, keys, all, now === true);
    };
    left.addEventListener("input", send); right.addEventListener("input", send);
    left.addEventListener("change", () => send(true)); right.addEventListener("change", () => send(true));
    away.addEventListener("click", () => { row.remove(); send(true); more.focus(); });
    rows.append(row);
    return left;
  };
  for (const [name, share] of Object.entries(value || {})) add(name, share);
  const more = make("button", { type: "button", className: "plain" }, t("+ one more"));
  more.addEventListener("click", () => add("", "").focus());
  box.append(rows, more);
}

// A table of which there may be several: its entries, and one more.
export function makeList(list, title) {
  const box = make("div", { className: "list" });
  const entries = valueAt(list.file, list.keys) || [];
  entries.forEach((_, index) => {
    const made = list.fields.map((field) => {
      const keys = [...list.keys, index, field.keys.at(-1)];
      const wide = field.keys.at(-1) === list.once;
      return makeField({ ...field, wide, keys: [...list.keys, field.keys.at(-1)] }, keys);
    });
    const away = make("button", { type: "button", className: "away" }, "✕");
    away.setAttribute("aria-label", `${t("take away")}: ${title} ${index + 1}`);
    away.addEventListener("click", () => desk.structure({ file: list.file, keys: [...list.keys, index], do: "remove" }));
    const entry = make("div", { className: "entry" }, make("div", { className: "head" }, make("div", { className: "fields" }, ...made.slice(0, list.shown)), away));
    if (made.length > list.shown) entry.append(make("details", {}, make("summary", {}, t("more of it")), make("div", { className: "fields" }, ...made.slice(list.shown))));
    box.append(entry);
  });
  const more = make("button", { type: "button" }, t("+ one more"));
  more.setAttribute("aria-label", `${t("+ one more")}: ${title}`);
  more.addEventListener("click", () => desk.structure({ file: list.file, keys: list.keys, do: "add", value: firstValues(list) }));
  if (!list.once || listUnused(list).length) box.append(more);
  return box;
}

// What a new entry says until it is filled in: blanks, as in the files of a new order.
// The choices of a key of which each entry has its own that no entry has yet.
function listUnused(list) {
  const field = list.fields.find((one) => one.keys.at(-1) === list.once);
  const used = (valueAt(list.file, list.keys) || []).map((entry) => entry[list.once]);
  return field.oneOf.map((one) => one.value).filter((value) => !used.includes(value));
}

function firstValues(list) {
  if (list.once) return { [list.once]: listUnused(list)[0] };
  const blanks = {};
  for (const field of list.fields) if (field.needed || (list.keys.at(-1) === "scent" && field.keys.at(-1) === "name")) blanks[field.keys.at(-1)] = `<<< such as ${field.example || field.name}`;
  return Object.keys(blanks).length ? blanks : { [list.fields[0].keys.at(-1)]: "<<<" };
}
