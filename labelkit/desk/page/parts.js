// What a room draws by itself, beside its fields.
import { desk, t, titled, make, linkTo, drawing, valueAt, edit, tell, isBlank, go, showRoom } from "./desk.js";
import { post, follow } from "./net.js";
import { many, cap, number, setTrim } from "./label.js";

export const parts = { guests, shelf, lye, weighing, list, layouts, logo, suite, piece, trim, stocks, findings, proof, print, plan, after };
// Those that follow what is typed in their own room: at every answer, or once it is saved.
export const live = { weighing: "typed", list: "typed", piece: "typed", plan: "saved" };

const readFile = (file) => new Promise((done, fail) => { const reader = new FileReader(); reader.onload = () => done(reader.result); reader.onerror = fail; reader.readAsArrayBuffer(file); });
const base64 = (buffer) => { let text = ""; for (const byte of new Uint8Array(buffer)) text += String.fromCharCode(byte); return btoa(text); };
const para = (kind, ...inside) => make("p", { className: kind }, ...inside);
const boxed = (title, ...inside) => make("section", { className: "group" }, make("h2", {}, title), ...inside);
const button = (text, act, kind = "") => { const made = make("button", { type: "button", className: kind }, text); made.addEventListener("click", act); return made; };
async function ask(action, body = {}) { const answer = await post(action, desk.event, body); if (answer.error) tell(answer.error); return answer; }
const sayDay = (day) => new Date(`${day}T12:00`).toLocaleDateString(desk.language, { dateStyle: "long" });
const whole = () => !desk.state.mistakes.length;

function incomplete() {
  const wrong = desk.state.mistakes.filter((one) => !one.blank).length;
  return para("caution", wrong ? many("{n} value to be put right", "{n} values to be put right", wrong) : many("{n} blank is still to be filled in", "{n} blanks are still to be filled in", desk.state.blanks), ". ", linkTo("ready", t("Show me")));
}

async function run(box, started, words) {
  const bar = make("progress", { "aria-label": words }), stop = button(t("Stop"), () => { stopped = true; }), line = make("div", { role: "status" }, make("p", {}, words), bar, stop);
  let stopped = false;
  box.replaceChildren(line);
  const done = await follow(started, desk.event, (state) => { if (state.of) { bar.max = state.of; bar.value = state.done; } return !stopped; });
  box.replaceChildren();
  if (done.error) { box.append(make("p", { className: "stop", role: "alert" }, done.error)); return null; }
  return done;
}

// -- Order: the guests

function guests(box) {
  const names = desk.state.guestNames || [];
  const area = make("textarea", { id: "paste", rows: 4, placeholder: t("Ada Lind\nBo Karlsen\n…") });
  const fold = make("details", {}, make("summary", {}, names.length ? many("{n} name on the list", "{n} names on the list", names.length) : t("A name on every label? Paste or drop the guests' names")), make("label", { htmlFor: "paste", className: "small" }, t("One name a line; numbers and bullets are taken off.")), area);
  if (names.length) area.value = names.join("\n");
  fold.append(para("row", button(t("Use these names"), async () => { const said = await ask("guests", { text: area.value }); if (!said.error) { tell([many("{n} name on the list", "{n} names on the list", said.listed.length), said.cleaned ? t("numbers and bullets were taken off") : ""].filter(Boolean).join("; ")); await desk.refresh(); showRoom(); } }), names.length ? button(t("No names on the labels"), async () => { await desk.structure([{ file: "label", keys: ["event", "guest_list"], value: null }, { file: "label", keys: ["event", "guests"], value: names.length }]); }, "plain") : ""));
  fold.addEventListener("dragover", (event) => event.preventDefault());
  fold.addEventListener("drop", async (event) => { event.preventDefault(); const file = event.dataTransfer.files[0]; if (file) { fold.open = true; area.value = await file.text(); } });
  box.append(make("p"), fold);
}

// -- Soap

function shelf(box) {
  const select = make("select", { id: "shelf" }), line = make("div", { className: "field wide" }, make("label", { htmlFor: "shelf" }, t("From your shelf")), select, para("hint", t("Recipes of this folder and of your other events. A recipe is one file: what you change in it changes for every event that names it.")));
  box.append(line);
  ask("recipes").then((found) => {
    const now = valueAt("label", ["product", "recipe"]) || "recipe.toml";
    select.append(...found.recipes.map((one) => make("option", { value: one.value, selected: one.value === now }, `${isBlank(one.name) ? t("a recipe without a name") : one.name} (${one.value})`)));
  });
  select.addEventListener("change", async () => { await desk.structure({ file: "label", keys: ["product", "recipe"], value: select.value }); });
}

function lye(box) {
  box.append(para("caution", t("Lye burns. labelkit counts it and rounds it down, but your supplier's safety data sheet and your local rules come first.")));
}

// What the scale must show for lye and water; pale while what she types is not in it yet.
let weighed = null;
async function weighing(box) {
  if (!whole()) { weighed = null; box.append(incomplete()); return; }
  if (!desk.pending.size || !weighed) weighed = await ask("plan");
  if (weighed.error) { box.append(para("stop", weighed.error)); return; }
  if (!weighed.weighed.length) { box.append(para("stop", t("Do not pour this recipe as it stands."))); return; }
  const rows = weighed.weighed.map((one) => make("tr", {}, make("td", {}, cap(one.name)), make("td", { className: "r" }, make("strong", {}, one.mass))));
  box.append(make("h3", {}, t("For the batch of this order")), make("div", { className: desk.pending.size ? "pale" : "" }, make("table", {}, make("tbody", {}, ...rows))), make("p", {}, `${cap(weighed.factor)}. `, t("The oils are weighed by the same list, on the batch page:"), " ", linkTo("plan", t("Days and money"))), para("caution", weighed.cautions.join(" ")));
}

function list(box) {
  const found = desk.state.list;
  if (!found) { box.append(para("soft", t("It stands here as soon as the recipe can be read."))); return; }
  const open = desk.state.mistakes.some((one) => one.file === "recipe");
  if (open) box.append(para("caution", t("Something in the recipe is still to be filled in or put right: examples stand in for it here.")));
  const rows = found.lines.map((line, n) => make("tr", {}, make("td", { className: "r soft" }, String(n + 1)), make("td", {}, line.name, make("br"), make("small", { className: "soft" }, line.sources)), make("td", { className: "r" }, line.percent, line.range ? make("br") : "", line.range ? make("small", { className: "soft" }, line.range) : "")));
  box.append(make("div", { className: `scroll${open ? " pale" : ""}`, tabIndex: 0, role: "region", "aria-label": t("The ingredient list as it will stand") }, make("table", {}, make("tbody", {}, ...rows))));
  if (found.superfat) box.append(make("p", {}, titled(t("Superfat"), found.superfat)));
  if (found.unfit) box.append(para("stop", t("Do not pour this recipe as it stands.")));
  for (const one of found.doubts) box.append(make("div", { className: `find ${one.level}` }, make("p", {}, one.message), one.remedy ? para("soft", one.remedy) : ""));
}

// -- Look

// What goes with the label, flat as it is printed, all in one scale.
function suite(box) {
  box.append(make("div", { className: "suite" }));
  showSuite(box);
}

export function showSuite(box = document) {
  const area = box.querySelector(".suite"), pieces = desk.state.pieces || [];
  if (!area) return;
  const widest = Math.max(...pieces.map((one) => one.width));
  const figures = pieces.map((one) => {
    const view = make("div", { className: "view" }, one.svg ? drawing(one.svg, one.title) : one.problem);
    if (one.svg) view.firstChild.style.width = `${(100 * one.width) / widest}%`;
    return make("figure", {}, view, make("figcaption", { className: "small" }, one.svg ? `${cap(one.title)}, ${number(one.width)} × ${number(one.height)} mm` : cap(one.title)));
  });
  area.replaceChildren(...figures);
}

function layouts(box) {
  const cards = make("div", { className: "cards designs", role: "group", "aria-label": t("Design") }), now = valueAt("label", ["label", "layout"]);
  for (const layout of desk.known.layouts) {
    const view = make("div", { className: "view" }), card = make("button", { type: "button", className: "card", title: layout.about }, view, make("strong", {}, layout.title));
    card.setAttribute("aria-pressed", String(layout.name === now));
    card.dataset.layout = layout.name;
    card.addEventListener("click", () => {
      for (const other of cards.children) other.setAttribute("aria-pressed", String(other === card));
      edit("label", ["label", "layout"], layout.name, true);
      const field = document.getElementById("label:label.layout"); if (field) field.value = layout.name;
    });
    cards.append(card);
  }
  box.querySelector(".fields")?.before(cards);
  box.querySelector(".fields").hidden = desk.known.layouts.some((one) => one.name === now);
  setTimeout(() => draw(cards));
}
// Two are asked for at a time: while one is put in its place the next is composed.
let drawn = 0;
export function draw(cards = document.querySelector(".designs")) {
  if (!cards) return;
  const mine = ++drawn, edits = [...desk.pending.values()], waiting = [...cards.children];
  const next = async () => {
    for (let card; (card = waiting.shift());) {
      if (mine !== drawn || !card.isConnected) return;
      const made = await ask("layout", { name: card.dataset.layout, edits });
      if (made.svg) card.querySelector(".view").replaceChildren(drawing(made.svg, made.title));
      card.querySelector("span")?.remove();
      if (made.fits === false) card.append(make("span", { className: "small soft" }, t("needs a larger label")));
    }
  };
  next(); next();
}

function logo(box) {
  const input = make("input", { type: "file", accept: ".svg,.png,.jpg,.jpeg", id: "logo" });
  input.addEventListener("change", async () => {
    const file = input.files[0];
    if (file && !(await ask("logo", { name: file.name, data: base64(await readFile(file)) })).error) { await desk.refresh(); showRoom(); }
  });
  box.append(make("p"), make("div", { className: "field" }, make("label", { htmlFor: "logo" }, t("Take a picture from this computer")), input, para("hint", t("SVG with strokes made outlines, or PNG or JPEG at 300 dpi."))));
}

// -- Size and paper

const measure = (text) => { const said = /([\d.]+)\s*(mm|cm|in)?\s*[x×]\s*([\d.]+)\s*(mm|cm|in)?/.exec(String(text || "")); if (!said) return null; const unit = { mm: 1, cm: 10, in: 25.4 }[said[4] || said[2] || "mm"]; return [said[1] * unit, said[3] * unit]; };
const length = (text) => { const said = /([\d.]+)\s*(mm|cm|in)?/.exec(String(text || "")); return said ? said[1] * ({ cm: 10, in: 25.4 }[said[2]] || 1) : null; };

// Inches as people say them: whole, and a fraction in sixteenths where it is one.
export function inches(mm) {
  const sixteenths = (mm / 25.4) * 16, near = Math.round(sixteenths);
  if (Math.abs(sixteenths - near) > 0.05) return `${(mm / 25.4).toFixed(2)}`;
  let top = near % 16, low = 16;
  while (top && top % 2 === 0) { top /= 2; low /= 2; }
  return `${Math.floor(near / 16) || (top ? "" : 0)}${top ? ` ${top}/${low}` : ""}`.trim();
}
export function parseInches(text) { const said = /^(?:(\d+(?:\.\d+)?)(?:\s+|$))?(?:(\d+)\/(\d+))?$/.exec(text.trim()); return said && (said[1] || said[2]) ? Number(said[1] || 0) + (said[2] ? said[2] / said[3] : 0) : null; }

function piece(box) {
  const inside = measure(valueAt("maker", ["plan", "mould", "inside"]) || valueAt("label", ["plan", "mould", "inside"])), fill = length(valueAt("maker", ["plan", "mould", "fill"])), pieces = Number(valueAt("label", ["plan", "pieces_per_bar"]) || valueAt("maker", ["plan", "pieces_per_bar"]) || 1);
  if (!inside || !fill) return;
  const width = Math.max(inside[1] / pieces, 1), face = `${number0(width)} x ${number0(fill)} mm`;
  box.append(para("row", make("span", { className: "soft" }, t("From your mould and cuts its face is about {size}.").replace("{size}", face)), button(t("Use it"), () => { edit("label", ["product", "package_face"], face, true, true); })));
}
const number0 = (value) => String(Math.round(value));

function trim(box) {
  const now = measure(valueAt("label", ["label", "trim"]));
  const fields = [0, 1].map((n) => { const input = make("input", { id: `inch${n}`, value: now ? inches(now[n]) : "", inputMode: "text", autocomplete: "off" }); input.setAttribute("aria-label", n ? t("height in inches") : t("width in inches")); return input; });
  const set = () => { const both = fields.map((one) => parseInches(one.value)); if (both.every((one) => one > 0)) setTrim(`${+both[0].toFixed(4)} x ${+both[1].toFixed(4)} in`, true); else tell(t("Inches such as 1 3/4")); };
  for (const one of fields) one.addEventListener("change", set);
  box.querySelector('[data-id="label:label.trim"]').after(make("div", { className: "field" }, make("span", { className: "name" }, t("Its size in inches")), make("span", { className: "unit" }, fields[0], make("span", {}, "×"), fields[1], make("span", {}, "in")), para("hint", t("With fractions, such as 1 3/4. Or drag the green corner of the label at the side."))));
}

const sheetSvg = (stock) => { const height = stock.height || stock.width * 0.9, shape = (one) => (["round", "oval"].includes(stock.shape) ? `<ellipse cx="${one[0] + one[2] / 2}" cy="${one[1] + one[3] / 2}" rx="${one[2] / 2}" ry="${one[3] / 2}" fill="none" stroke="#8d8177" stroke-width="1"/>` : `<rect x="${one[0]}" y="${one[1]}" width="${one[2]}" height="${one[3]}" rx="2" fill="none" stroke="#8d8177" stroke-width="1"/>`); return `<svg xmlns="http://www.w3.org/2000/svg" viewBox="-1 -1 ${stock.width + 2} ${height + 2}"><rect width="${stock.width}" height="${height}" fill="${/^#[0-9a-f]{6}$/i.test(stock.colour) ? stock.colour : "#fff"}" stroke="#b8aa9b"/>${stock.dies.map(shape).join("")}</svg>`; };

function stocks(box) {
  const now = valueAt("label", ["label", "stock"]) || valueAt("maker", ["defaults", "stock"]), cards = make("div", { className: "cards", role: "group", "aria-label": t("Sheet or roll") });
  const kinds = { plain: t("to cut up"), die: t("ready-cut"), roll: t("roll") };
  for (const stock of desk.known.stocks) {
    const card = make("button", { type: "button", className: "card sheet" }, make("div", { className: "view" }, drawing(sheetSvg(stock), "")), make("span", { className: "small" }, stock.title), make("span", { className: "small soft" }, kinds[stock.kind]));
    card.setAttribute("aria-pressed", String(stock.name === now));
    card.addEventListener("click", () => { for (const other of cards.children) other.setAttribute("aria-pressed", String(other === card)); edit("label", ["label", "stock"], stock.name, true); const field = document.getElementById("label:label.stock"); if (field) field.value = stock.name; });
    cards.append(card);
  }
  const chosen = [...cards.children].find((one) => one.getAttribute("aria-pressed") === "true");
  if (chosen) cards.prepend(chosen);
  box.append(make("details", {}, make("summary", {}, t("All sheets and rolls as pictures")), make("p"), cards));
}

// -- Ready?

function findings(box) {
  const state = desk.state, wrong = state.mistakes.filter((one) => !one.blank), blanks = state.mistakes.filter((one) => one.blank);
  const by = (level) => state.findings.filter((one) => one.level === level), duties = by("note").filter((one) => /DUT|NOTIF|TOLERANCE|RECORD|RESPONSIBLE/.test(one.rule)), notes = by("note").filter((one) => !duties.includes(one));
  const section = (title, items, empty) => { if (items.length || empty) box.append(make("h2", {}, items.length ? `${title} (${items.length})` : title), ...(items.length ? items : [para("find good", empty)])); };
  const where = (one) => button(t("Take me there"), () => go(one.file ?? one.field[0], one.keys ?? one.field[1]), "plain there");
  const ways = make("div");
  section(t("Must be put right"), [...wrong.map((one) => make("div", { className: "find fail" }, one.keys.length ? where(one) : "", make("p", {}, make("strong", {}, nameOf(one)), " ", one.message))), ...by("fail").map((one) => makeFinding(one, where))], t("Nothing must be put right."));
  if (state.panels.some((one) => one.problem)) box.append(make("p", {}, button(t("Try ways out"), async () => showWays(ways), "main")), ways, make("br"));
  section(t("Still to be filled in"), blanks.map((one) => make("div", { className: "find" }, where(one), make("p", {}, make("strong", {}, nameOf(one))))));
  section(t("Look at this"), by("warn").map((one) => makeFinding(one, where)), t("Nothing that deserves a look."));
  section(t("To do"), duties.map((one) => makeFinding(one)));
  section(t("Good to know"), notes.map((one) => makeFinding(one)));
  box.append(para("soft", state.summary ? make("span", {}, cap(state.summary), ".", make("br")) : "", t("labelkit helps you check; it is no legal advice. The text of the law and your authority decide.")));
}

function nameOf(mistake) {
  for (const room of desk.rooms) for (const group of room.groups) {
    for (const field of group.fields) if (field.file === mistake.file && field.keys.every((key, n) => key === mistake.keys[n])) return `${field.name}${tag(mistake, field.keys.length)}`;
    for (const one of group.lists) if (one.file === mistake.file && one.keys.every((key, n) => key === mistake.keys[n])) { const field = one.fields.find((field) => field.keys.at(-1) === mistake.keys[one.keys.length + 1]); return `${group.title} ${Number(mistake.keys[one.keys.length]) + 1}: ${field ? field.name : ""}`; }
  }
  return [mistake.file, ...mistake.keys].join(" ");
}
const tag = (mistake, n) => (typeof mistake.keys[n] === "string" && mistake.keys[n].length < 6 ? ` (${mistake.keys[n]})` : "");

function makeFinding(one, where) {
  const place = [one.panelName, one.elementName].filter(Boolean).join(", ");
  return make("div", { className: `find ${one.level}` }, where && one.field.length ? where(one) : "", make("p", {}, place ? make("strong", {}, `${cap(place)}. `) : "", one.message), one.measured ? make("p", {}, one.measured) : "", one.remedy ? make("p", {}, cap(one.remedy)) : "", make("details", {}, make("summary", {}, t("What this rests on")), para("source", [one.rule, one.source].filter(Boolean).join(": "))));
}

async function showWays(box) {
  const found = await run(box, await ask("ways", { edits: [...desk.pending.values()] }), t("Trying what would make it fit …"));
  if (!found) return;
  if (!found.ways.length) { box.append(make("p", {}, t("Nothing single helps: take a larger label, or fewer words."))); return; }
  const cards = make("div", { className: "cards" });
  for (const way of found.ways) {
    const card = make("button", { type: "button", className: "card" }, make("div", { className: "view" }, ...way.panels.slice(0, 2).map((svg) => drawing(svg, ""))), make("span", {}, cap(way.words)));
    card.addEventListener("click", () => desk.structure(way.edits));
    cards.append(card);
  }
  box.append(cards);
}

// -- Proof

function proof(box) {
  if (!whole()) { box.append(incomplete()); return; }
  const area = make("div"), standing = make("div"), made = boxed(t("Make the proof"), para("soft", t("A page your customer opens in any browser, without a network, and a PDF. Both carry the order's code.")));
  const language = make("select", { id: "proof-language" }, ...["en", "fr"].map((one) => make("option", { value: one, selected: one === desk.language }, desk.languageName(one))));
  made.append(make("div", { className: "field" }, make("label", { htmlFor: "proof-language" }, t("In her language")), language), make("p", {}, button(t("Make the proof"), async () => {
    const done = await run(area, await ask("proof", { language: language.value }), t("Drawing the proof …"));
    if (!done) return;
    const link = (at, text) => at && make("li", {}, make("a", { href: at, target: "_blank", rel: "noopener" }, text), " · ", make("a", { href: `${at}?save=1` }, t("save")));
    area.append(done.fit ? make("p", {}, titled(t("Code of this proof"), ""), make("strong", {}, done.code)) : para("stop", t("It is not fit to print yet: there is a maker's part only, which says why.")), make("ul", {}, link(done.made.page, t("The page for your customer")) || "", link(done.made.customer, t("The same as a PDF")) || "", link(done.made.maker, t("Your own part, with every height and finding")) || ""), ...done.notes.map((one) => para("caution", one)));
  }, "main")), area);
  const text = make("textarea", { id: "answer", rows: 4 }), answer = boxed(t("Her answer"), make("div", { className: "field" }, make("label", { htmlFor: "answer" }, t("Paste her mail, or type the code she says")), text), make("p", {}, button(t("Record the approval"), async () => { const said = await ask("answer", { text: text.value }); standing.querySelector(".stop")?.remove(); if (said.error) standing.prepend(make("p", { className: "stop", role: "alert" }, said.error)); else showStanding(standing, said); })), standing);
  box.append(made, answer);
  ask("approval").then((said) => !said.error && showStanding(standing, said));
}

function showStanding(box, said) {
  box.replaceChildren(make("p", {}, titled(t("This order's code as it stands"), ""), make("strong", {}, said.code)));
  if (said.approved) box.append(make("p", { className: said.changes.length ? "caution" : "" }, `${titled(t("Approved"), said.approved)}, ${sayDay(said.on)}${said.changes.length ? `. ${titled(t("Changed since"), said.changes.join("; "))}` : " ✓"}`));
  else box.append(para("soft", t("No approval is recorded yet.")));
}

// -- Print

async function print(box) {
  if (!whole()) { box.append(incomplete()); return; }
  const sheet = await ask("sheet");
  if (sheet.error) { box.append(para("stop", sheet.error)); return; }
  const wish = { start: 1, skip: [] }, svg = document.createElementNS("http://www.w3.org/2000/svg", "svg"), told = make("p", { role: "status" });
  svg.setAttribute("class", "sheetpic"); svg.setAttribute("viewBox", `0 0 ${sheet.width} ${sheet.height || 60}`); svg.setAttribute("role", "group"); svg.setAttribute("aria-label", sheet.title);
  const spots = sheet.positions.map((boxes, index) => makeSpot(svg, sheet, boxes, index + 1, (at) => { if (sheet.partUsed) { wish.start = at; show(); } }));
  const show = () => { let left = sheet.labels; spots.forEach((spot, n) => { const used = n + 1 < wish.start; spot.setAttribute("class", used ? "used" : n + 1 === wish.start && sheet.partUsed ? "first" : left > 0 ? "taken" : ""); if (sheet.partUsed) spot.setAttribute("aria-pressed", String(n + 1 === wish.start)); if (!used) left -= sheet.positions[n].length; }); told.textContent = t("{labels} labels of each side, from place {first} of {places}.").replace("{labels}", sheet.labels).replace("{first}", wish.start).replace("{places}", spots.length); };
  show();
  const changed = make("input", { type: "checkbox", id: "changed" }), unapproved = make("input", { type: "checkbox", id: "unapproved" }), area = make("div");
  box.append(boxed(sheet.title, para("soft", sheet.partUsed ? t("Tap the first free label of the sheet in your hand.") : t("It is cut up once it is printed: take a whole sheet.")), svg, told, make("div", { className: "choices" }, sheet.names ? make("label", {}, changed, t("only names that were changed")) : "", make("label", {}, unapproved, t("also what was not approved"))), make("p", {}, button(t("Make the sheets"), async () => {
    const done = await run(area, await ask("sheets", { ...wish, start: wish.start > 1 ? wish.start : null, changed: changed.checked, unapproved: unapproved.checked }), t("Drawing the sheets, and reading them back …"));
    if (done) showSheets(area, done);
  }, "main")), area));
}

function makeSpot(svg, sheet, boxes, at, choose) {
  const ns = "http://www.w3.org/2000/svg", group = document.createElementNS(ns, "g");
  if (sheet.partUsed) { group.setAttribute("role", "button"); group.setAttribute("tabindex", "0"); } else group.setAttribute("role", "img");
  group.setAttribute("aria-label", `${t("place")} ${at}`);
  for (const [x, y, width, height] of boxes) { const rect = document.createElementNS(ns, "rect"); const round = ["round", "oval"].includes(sheet.shape); for (const [name, value] of Object.entries({ class: "pos", x, y, width, height, rx: round ? width / 2 : 1.2, ry: round ? height / 2 : 1.2 })) rect.setAttribute(name, value); group.append(rect); }
  const text = document.createElementNS(ns, "text"); text.setAttribute("x", boxes[0][0] + boxes[0][2] / 2); text.setAttribute("y", boxes[0][1] + boxes[0][3] / 2); text.textContent = at; group.append(text);
  group.addEventListener("click", () => choose(at));
  group.addEventListener("keydown", (event) => { if (event.key === "Enter" || event.key === " ") { event.preventDefault(); choose(at); } });
  svg.append(group);
  return group;
}

function showSheets(area, done) {
  if (!done.files.length) { area.append(para("stop", done.fit ? t("Nothing was printed.") : t("Nothing was written: the label is not fit to print.")), ...done.refused.map((one) => make("p", {}, cap(one))), ...done.summary.map((one) => make("p", {}, one))); return; }
  const rows = done.files.map((file) => make("li", {}, make("a", { href: file.at, target: "_blank", rel: "noopener" }, file.name), " ", button(t("Print at 100 %"), async () => { const said = await ask("send", { name: file.name }); if (said.sent) tell(said.sent); else if (said.how) area.append(make("div", { className: "caution" }, ...said.how.map((one) => make("p", {}, one)))); }, "plain")));
  area.append(para("find good", t("Done. The sheets are in {folder}. Print them at 100 %, never fitted to the page.").replace("{folder}", done.folder)), make("ul", {}, ...rows), ...done.warnings.map((one) => para("caution", one)), make("details", {}, make("summary", {}, t("What was made")), make("pre", { className: "small" }, done.summary.join("\n"))));
}

// -- Days and money, and afterwards

const sections = (box, found, wanted) => { for (const one of found.sections) if (wanted(one.key)) box.append(makeSection(one)); };

function makeSection(one) {
  const box = boxed(one.title);
  if (one.stop) box.append(para("stop", one.stop));
  for (const table of one.tables) {
    const cells = (row, kind) => row.map((text, n) => make(kind, { className: table.align[n] === "r" ? "r" : "" }, text));
    box.append(make("div", { className: "scroll", tabIndex: 0, role: "region", "aria-label": one.title }, make("table", {}, table.heading.length ? make("thead", {}, make("tr", {}, ...cells(table.heading, "th"))) : "", make("tbody", {}, ...table.rows.map((row) => make("tr", { className: row.strong ? "strong" : "" }, ...cells(row.cells, "td")))))));
  }
  if (one.checks.length) box.append(make("ul", {}, ...one.checks.map((check) => make("li", {}, make("strong", {}, check.lead), " ", check.text, check.source ? make("small", { className: "soft" }, ` ${check.source}`) : ""))));
  for (const line of one.lines) box.append(para("soft", line));
  if (one.caution) box.append(para("caution", one.caution));
  return box;
}

async function plan(box) {
  if (!whole()) { box.append(incomplete()); return; }
  const found = await ask("plan");
  if (found.error) { box.append(para("stop", found.error)); return; }
  for (const one of found.warned) box.append(make("div", { className: `find ${one.fails ? "fail" : "warn"}` }, make("p", {}, one.text), ...one.ways.map((way) => para("soft", way))));
  const paper = (page, text) => button(text, async () => { const made = await ask("plan", { pdf: [page] }); refused.replaceChildren(made.error ? make("p", { className: "stop", role: "alert" }, made.error) : ""); if (made.at) open(made.at, "_blank", "noopener"); }), refused = make("div");
  box.append(para("row", paper("workshop", t("Workshop sheet (PDF)")), paper("batch", t("Batch page (PDF)")), paper("quote", t("Quote (PDF)"))), refused);
  sections(box, found, () => true);
}

// What was weighed, held against what the label declares: every line of it, or none.
async function judge(text, box) {
  box.replaceChildren();
  const lines = text.split(/[\n;]+|\s+(?=\d)/).map((one) => one.trim()).filter(Boolean), weights = lines.map((one) => /^(\d+)(?:[.,](\d+))?\s*g?$/i.exec(one));
  const unread = lines.filter((_, n) => !weights[n]);
  if (unread.length || !lines.length) { box.append(make("p", { className: "stop", role: "alert" }, unread.length ? t("This is no weight in grams: {what}").replace("{what}", unread.join(", ")) : t("Nothing is weighed yet."))); return; }
  const [found, plain] = [await ask("plan", { weights: weights.map((one) => `${one[1]}.${one[2] || 0}`) }), await ask("plan")];
  if (found.error || plain.error) return;
  const known = new Set(plain.warned.map((one) => one.text));
  for (const one of found.warned) if (!known.has(one.text)) box.append(make("div", { className: `find ${one.fails ? "fail" : "warn"}` }, make("p", {}, one.text)));
  sections(box, found, (key) => key === "weighed");
}

// How a batch went, for the next order of its recipe.
async function pour(box, said = {}) {
  const found = await ask("pour", said);
  if (found.error) return;
  const { lot, lost, notes } = found, count = make("input", { id: "lost", type: "number", min: 0, value: lost ?? "" }), ticks = notes.map((one) => make("input", { type: "checkbox", value: one.value, checked: one.noted, disabled: one.noted })), told = make("p", { role: "status" });
  const keep = async () => {
    const words = ticks.filter((one) => one.checked && !one.disabled).map((one) => one.value);
    if (!words.length && count.value === "") { told.textContent = t("Say how many pieces were lost (0 for none), or tick a word."); count.focus(); return; }
    await pour(box, { lost: count.value === "" ? null : Number(count.value), notes: words });
    await desk.refresh();
    box.querySelector("[role=status]").textContent = t("Noted for lot {lot}.").replace("{lot}", lot);
  };
  box.replaceChildren(boxed(t("How it went"), ...(lot ? [make("div", { className: "field" }, make("label", { htmlFor: "lost" }, t("Pieces lost so far")), count), make("fieldset", { className: "field" }, make("legend", {}, t("What went wrong")), make("div", { className: "choices" }, ...notes.map((one, n) => make("label", {}, ticks[n], one.name)))), para("hint", t("Plans of the same recipe and scent tell it from then on.")), make("p", {}, button(t("Note it"), keep)), told] : [para("soft", t("To be noted once it is recorded as poured."))])));
}

async function after(box) {
  if (!whole()) { box.append(incomplete()); return; }
  const day = make("input", { type: "date", id: "poured", value: valueAt("label", ["plan", "poured_on"]) || "" }), told = make("p", { role: "status" });
  box.append(boxed(t("Poured"), make("div", { className: "field" }, make("label", { htmlFor: "poured" }, t("The day it was poured")), day, para("hint", t("From then on its amounts stay as they were poured, whatever the recipe says later."))), para("row", button(t("Record the batch"), () => {
    for (const old of day.parentElement.querySelectorAll(".wrongs")) old.remove();
    if (day.value) record(day.value); else { day.after(make("p", { className: "wrongs", role: "alert" }, t("Which day was it poured?"))); day.focus(); }
  }, "main"), button(t("Not poured yet: keep it as planned"), () => record(""), "plain")), told));
  const record = async (poured) => {
    if (poured) { edit("label", ["plan", "poured_on"], poured); await desk.send(true); }
    const said = await ask("record", { poured });
    if (!said.error) told.textContent = said.poured ? t("Lot {lot} is recorded as poured on {day}.").replace("{lot}", said.lot).replace("{day}", sayDay(said.poured)) : t("Lot {lot} is recorded as planned.").replace("{lot}", said.lot);
    if (poured) went();
  };
  const way = make("div"), went = () => pour(way);
  box.append(way);
  went();
  const weights = make("textarea", { id: "weights", rows: 3, placeholder: "41.2\n40.8\n41.5" }), weighed = make("div");
  box.append(boxed(t("Weighed"), make("div", { className: "field" }, make("label", { htmlFor: "weights" }, t("Pieces you weighed, in grams, a line each")), weights), make("p", {}, button(t("Judge them"), () => judge(weights.value, weighed))), weighed));
  if (desk.state.guestNames?.length) box.append(boxed(t("Guests changed?"), make("p", {}, t("Paste the new list in the room Order; then print only the names that were changed.")), para("row", linkTo("order", t("To the list"), "button"), linkTo("print", t("To the sheets"), "button"))));
  const lot = make("input", { id: "lot", autocomplete: "off" }), recalled = make("div");
  box.append(boxed(t("A lot is recalled"), make("div", { className: "field" }, make("label", { htmlFor: "lot" }, t("The supplier's lot, or a batch's own; empty lists every batch")), lot), make("p", {}, button(t("Find it"), async () => {
    const found = await ask("recall", { lot: lot.value });
    recalled.replaceChildren();
    if (found.error) return;
    if (!found.found.length) recalled.append(make("p", {}, t("No recorded batch used it.")));
    for (const one of found.found) recalled.append(make("div", { className: "find" }, make("p", {}, make("strong", {}, one.names), ` ${sayDay(one.date)}, ${one.place}`), make("p", {}, `${t("Lot")} ${one.lot}${one.poured ? `, ${t("poured on")} ${sayDay(one.poured)}` : ""}; ${one.labels} ${t("labels")}${one.stands ? "" : ` (${t("corrected or withdrawn since")})`}`), para("small soft", one.materials.filter((line) => line.lots.length).map((line) => `${line.name}: ${line.lots.join(", ")}`).join(" · ")), ...one.sent.map((line) => make("p", {}, line))));
    const letter = found.found.length ? make("textarea", { rows: 8, readOnly: true }) : null;
    if (letter) { letter.value = t("Dear customer,\n\none of the materials in the soap of {names} ({date}) is being recalled by its supplier. Please do not use pieces with the lot {lot} and keep them apart; I will be in touch.\n\n{maker}").replace("{names}", found.found[0].names).replace("{date}", sayDay(found.found[0].date)).replace("{lot}", found.found[0].lot).replace("{maker}", valueAt("maker", ["maker", "name"]) || ""); letter.setAttribute("aria-label", t("A letter to begin with")); recalled.append(make("h3", {}, t("A letter to begin with")), letter); }
  })), recalled));
}
