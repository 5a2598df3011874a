// The label beside every room: live, on her soap, with what was found where it was found.
import { desk, t, make, linkTo, drawing, edit, go, put, valueAt, tell } from "./desk.js";

const FIELDS = {
  identity: ["label", ["product", "identity"]], "net-quantity": ["label", ["product", "net_weight"]], scent: ["label", ["product", "scent"]],
  lot: ["label", ["product", "lot"]], names: ["label", ["event", "names"]], date: ["label", ["event", "date"]], place: ["label", ["event", "place"]],
  dealer: ["maker", ["maker", "name"]], contact: ["maker", ["maker", "contact"]], brand: ["maker", ["maker", "brand"]],
  ingredients: ["recipe", ["recipe", "name"]], "ingredients-heading": ["recipe", ["recipe", "name"]], guest: ["label", ["event", "guests"]],
};
let trueSize = false, good = "";  // the last size on which everything fitted
const SVG = "http://www.w3.org/2000/svg";

export function pixelsPerMm() { return (desk.settings.pixelsPerMm || (96 / 25.4) * devicePixelRatio) / devicePixelRatio; }

export function showLabel(state) {
  const aside = document.getElementById("label");
  aside.setAttribute("aria-label", t("The label"));
  if (!aside.querySelector(".stand")) aside.replaceChildren(make("div", { className: "stand" }, make("div", { className: "bench" }), make("div", { className: "state" }), make("div", { className: "foot" })));
  const bench = aside.querySelector(".bench");
  aside.classList.toggle("clear", Boolean(state.clear));
  bench.classList.toggle("true", trueSize);
  bench.style.setProperty("--soap", state.soapColour || "#efe4cf");
  bench.style.setProperty("--stock", state.stockColour || "#fffefc");
  const front = state.panels[0];
  if (front && state.panels.every((panel) => !panel.problem)) good = `${front.width} x ${front.height} mm`;
  if (state.panels.length) showSides(bench, state);
  else if (!bench.children.length) bench.append(make("p", { className: "problem" }, t("There is no label to show yet.")));
  if (!desk.state) return;  // what it is worth is not known yet
  showState(aside, state);
  const foot = aside.querySelector(".foot");
  if (!foot.children.length || foot.dataset.language !== desk.language) { foot.dataset.language = desk.language; foot.replaceChildren(...makeFoot()); }
}

// A side that is as it was stays as it is: most keys change one of them.
const drawn = new Map();
function showSides(bench, state) {
  const sides = state.panels.map((panel) => {
    const lacking = listLacking(panel, state), as = JSON.stringify([panel, lacking, trueSize && pixelsPerMm(), desk.language, desk.event, valueAt("label", ["label", "trim"])]);
    if (drawn.get(panel.name)?.as !== as) drawn.set(panel.name, { as, side: makeSide(panel, lacking) });
    return drawn.get(panel.name).side;
  });
  if (sides.length !== bench.children.length) bench.replaceChildren(...sides);
  else sides.forEach((side, n) => { if (bench.children[n] !== side) bench.children[n].replaceWith(side); });
}
// What is lacking and found no place on the label.
const listLacking = (panel, state) => state.findings.filter((one) => one.panel === panel.name && one.element && one.level !== "note" && !one.runs[panel.name]).slice(0, 4).map((one) => [one.elementName, one.message]);

function makeSide(panel, lackingWords) {
  const label = make("div", { className: "label" });
  if (panel.svg) {
    const lacking = Object.entries(panel.lacking), picture = drawing(panel.svg, [`${panel.title}: ${t("as it will print")}`, ...lacking.map(([, name]) => `${t("missing")}: ${name}`)].join("; "));
    for (const [element] of lacking) for (const run of picture.querySelectorAll(`[data-element="${element}"]`)) run.classList.add("lacks");
    label.append(picture);
    if (trueSize) label.style.width = `${panel.width * pixelsPerMm()}px`;
    picture.addEventListener("click", (event) => {
      const run = event.target.closest("[data-element]"), name = run?.dataset.element, found = name in panel.lacking && desk.state.findings.find((one) => one.element === name && one.field.length);
      const at = found ? found.field : name && fieldOf(name, panel.name);
      if (at) go(...at);
    });
    if (panel.problem) drawHers(picture, panel);
    if (panel.name === "front" && !panel.problem) label.append(makeGrip(panel, label));
  }
  const side = make("figure", { className: "side" }, make("div", { className: "soap" }, label), make("figcaption", {}, `${cap(panel.title)}, ${size(panel)}`));
  for (const [name, why] of lackingWords) side.append(make("span", { className: "lacking", title: why }, `${t("missing")}: ${name}`));
  if (panel.problem) side.append(make("p", { className: "problem", role: "alert" }, panel.problem, " ", linkTo("ready", t("Ways out"))));
  return side;
}

export const cap = (text) => text.slice(0, 1).toUpperCase() + text.slice(1);
const size = (panel) => `${number(panel.width)} × ${number(panel.height)} mm`;
export const number = (value) => Number(value.toFixed(1)).toLocaleString(desk.language);
const fieldOf = (element, panel) => FIELDS[element] || (["separator", "draft-mark"].includes(element) ? null : ["label", [panel === "front" ? "front" : "back", element.replaceAll("-", "_")]]);

function drawHers(picture, panel) {
  const said = /([\d.]+)\s*x\s*([\d.]+)\s*(mm|cm|in)?/.exec(valueAt("label", ["label", "trim"]) || "");
  if (!said) return;
  const unit = { cm: 10, in: 25.4 }[said[3]] || 1, width = said[1] * unit, height = said[2] * unit;
  const rect = document.createElementNS(SVG, "rect");
  for (const [name, value] of Object.entries({ class: "hers", x: (panel.width - width) / 2, y: (panel.height - height) / 2, width, height })) rect.setAttribute(name, value);
  picture.append(rect);
}

// -- what was found, on the label and beside its field

export function showFindings(state) {
  for (const picture of document.querySelectorAll("#label svg[data-panel]")) {
    const here = state.findings.filter((one) => one.level !== "note" && one.runs[picture.dataset.panel]), as = JSON.stringify(here.map((one) => [one.level, one.message, one.runs]));
    if (picture.dataset.found === as) continue;
    picture.dataset.found = as;
    for (const old of picture.querySelectorAll(".found")) old.remove();
    for (const one of here) for (const runs of inRows(one.runs[picture.dataset.panel])) outline(picture, runs, one.level, one.message);
  }
  for (const field of document.querySelectorAll(".field[data-id]")) {
    const [file, ...rest] = field.dataset.id.split(":"), keys = rest.join(":").split(".");
    const found = state.findings.filter((one) => one.level !== "note" && one.field[0] === file && one.field[1].length <= keys.length && one.field[1].every((key, n) => key === keys[n]));
    const line = put(field, "finds", found.map((one) => one.message).join(" "));
    line?.classList.toggle("fail", found.some((one) => one.level === "fail"));
  }
}

// Runs that follow one another, such as the lines of a list: one frame goes round them.
const inRows = (runs) => runs.reduce((rows, run) => { if (run - 1 === rows.at(-1)?.at(-1)) rows.at(-1).push(run); else rows.push([run]); return rows; }, []);

function outline(picture, numbers, level, message) {
  const boxes = numbers.map((number) => placeOf(picture, number)).filter(Boolean);
  if (!boxes.length) return;
  const height = Number(picture.dataset.height), rect = document.createElementNS(SVG, "rect");
  const [left, low, right, high] = [0, 1, 2, 3].map((n) => Math[n < 2 ? "min" : "max"](...boxes.map((box) => box[n])));
  const at = { class: `found ${level}`, x: left - 0.5, y: height - high - 0.5, width: right - left + 1, height: high - low + 1, rx: 0.4 };
  for (const [name, value] of Object.entries(at)) rect.setAttribute(name, value);
  if (message) { const title = document.createElementNS(SVG, "title"); title.textContent = message; rect.append(title); rect.setAttribute("pointer-events", "none"); }
  picture.append(rect);
}

function placeOf(picture, number) {
  const run = picture.querySelector(`[data-run="${number}"]`), place = run?.transform.baseVal.consolidate()?.matrix;
  if (!place) return null;
  const box = run.getBBox();
  return [place.e + box.x, place.f + box.y, place.e + box.x + box.width, place.f + box.y + box.height];
}

document.addEventListener("focusin", (event) => {
  for (const old of document.querySelectorAll(".found.here")) old.remove();
  const field = event.target.closest?.(".field[data-id]");
  if (!field) return;
  for (const picture of document.querySelectorAll("#label svg[data-panel]")) for (const run of picture.querySelectorAll("[data-element]")) {
    const at = fieldOf(run.dataset.element, picture.dataset.panel);
    if (at && `${at[0]}:${at[1].join(".")}` === field.dataset.id && picture.dataset.panel) outline(picture, [run.dataset.run], "here");
  }
});

function showState(aside, state) {
  const fails = state.findings.filter((one) => one.level === "fail").length, wrong = state.mistakes.filter((one) => !one.blank).length;
  let how = "good", says = t("Fit to print.");
  if (wrong) { how = "fail"; says = many("{n} value to be put right", "{n} values to be put right", wrong); }
  else if (fails) { how = "fail"; says = many("{n} thing must be put right", "{n} things must be put right", fails); }
  else if (state.blanks) { how = "warn"; says = many("{n} blank is still to be filled in", "{n} blanks are still to be filled in", state.blanks); }
  aside.querySelector(".state").replaceChildren(make("span", { className: `dot ${how}` }), linkTo("ready", says), makeEnlarger(aside));
}

// On a telephone the label is a strip above the room; this opens it.
function makeEnlarger(aside) {
  const open = aside.classList.contains("open"), button = make("button", { type: "button", className: "plain enlarge", "aria-expanded": String(open) }, open ? t("Smaller") : t("Larger"));
  button.addEventListener("click", () => { aside.classList.toggle("open"); showState(aside, desk.state); aside.querySelector(".enlarge").focus(); });
  return button;
}
export const many = (one, several, n) => t(n === 1 || (desk.language === "fr" && n === 0) ? one : several).replace("{n}", n);

function makeFoot() {
  const size = make("button", { type: "button", "aria-pressed": String(trueSize) }, t("True size"));
  size.addEventListener("click", () => { trueSize = !trueSize; size.setAttribute("aria-pressed", String(trueSize)); showLabel(desk.state); showFindings(desk.state); if (trueSize && !desk.settings.pixelsPerMm) askForCard(); });
  const card = make("button", { type: "button", className: "plain" }, t("Measure this screen"));
  card.addEventListener("click", askForCard);
  return [make("div", { className: "row" }, size, card)];
}

// A bank card (ISO/IEC 7810 ID-1, 85.60 x 53.98 mm) held to the screen tells how large a pixel is.
export function askForCard() {
  const dialog = document.getElementById("dialog"), card = make("div", { className: "bankcard" });
  const slider = make("input", { type: "range", min: 150, max: 900, step: 0.5, value: 85.6 * pixelsPerMm(), id: "card" });
  const show = () => { card.style.width = `${slider.value}px`; card.style.height = `${(slider.value * 53.98) / 85.6}px`; };
  slider.addEventListener("input", show); show();
  const done = make("button", { className: "main", type: "button" }, t("It is as large as my card"));
  done.addEventListener("click", async () => {
    const { post } = await import("./net.js");
    desk.settings = await post("settings", "", { pixelsPerMm: (slider.value / 85.6) * devicePixelRatio });
    dialog.close(); trueSize = true; showLabel(desk.state); showFindings(desk.state);
  });
  const leave = make("button", { type: "button", className: "plain" }, t("Not now"));
  leave.addEventListener("click", () => dialog.close());
  dialog.replaceChildren(make("h2", {}, t("How large is your screen?")), make("p", {}, t("Hold a bank card to the screen and move the slider until both are equally large.")), make("label", { htmlFor: "card" }, t("Size of the card")), slider, card, make("p", { className: "row" }, done, leave));
  dialog.showModal();
}

// -- dragging the corner: the label is set anew as it moves, and stops where nothing legal is smaller

function makeGrip(panel, label) {
  const grip = make("button", { type: "button", className: "grip", title: t("Drag to change the size of the label") });
  grip.setAttribute("aria-label", t("Drag to change the size of the label, or use the arrow keys"));
  const set = (width, height, now) => {
    const round = (value) => Math.max(8, Math.round(value * 2) / 2);
    setTrim(`${round(width)} x ${round(height)} mm`, now);
  };
  grip.addEventListener("keydown", (event) => {
    const step = { ArrowRight: [1, 0], ArrowLeft: [-1, 0], ArrowDown: [0, 1], ArrowUp: [0, -1] }[event.key];
    if (!step) return;
    event.preventDefault();
    set(panel.width + step[0], panel.height + step[1], false);
    watch();
    setTimeout(() => document.querySelector("#label .grip")?.focus(), 250);
  });
  grip.addEventListener("pointerdown", (event) => {
    event.preventDefault();
    const start = { x: event.clientX, y: event.clientY }, from = { width: panel.width, height: panel.height };
    const scale = label.getBoundingClientRect().width / panel.width;
    const move = (at) => set(from.width + (2 * (at.clientX - start.x)) / scale / (trueSize ? 1 : 2), from.height + (at.clientY - start.y) / scale, false);
    const end = () => { removeEventListener("pointermove", move); removeEventListener("pointerup", end); watch(true); };
    addEventListener("pointermove", move);
    addEventListener("pointerup", end);
  });
  return grip;
}

export function setTrim(size, now) {
  edit("label", ["label", "trim"], size, now);
  const field = document.getElementById("label:label.trim");
  if (field) field.value = size;
}

// Once nothing fits: back to the last size that did, and which words stopped it.
async function watch(save = false) {
  await desk.refresh();
  const stopped = desk.state.panels.find((one) => one.problem);
  if (stopped && good) { edit("label", ["label", "trim"], good, true); tell(stopped.problem); } else if (save) edit("label", ["label", "trim"], valueAt("label", ["label", "trim"]), true);
}
