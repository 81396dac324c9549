"use strict";

const SVG = "http://www.w3.org/2000/svg";
const at = id => document.getElementById(id);
const dark = matchMedia("(prefers-color-scheme: dark)");

let state = null;        // the last state heard of
let map = null;          // the heat map shown, with the number of the state that it belongs to
let probe = null;        // the probed point, mm on the image plane
let chosen = -1;         // the failure that is pointed out

// ---- Small helpers -------------------------------------------------------------------------------------------------

function element(name, properties = {}, ...children) {
  const made = Object.assign(document.createElement(name), properties);
  made.append(...children);
  return made;
}

function shape(name, attributes) {
  const made = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  return made;
}

const checked = name => document.querySelector(`input[name=${name}]:checked`).value;
const number = (value, digits = 2) => Number(value.toFixed(digits)).toString().replace("-", "\u2212");

// ---- Telling the bench ---------------------------------------------------------------------------------------------

// One message at a time; of what is set meanwhile only the latest values go out.
const pending = {};
let sending = false;

async function send() {
  if (sending || Object.keys(pending).length === 0) return;
  sending = true;
  const body = JSON.stringify(pending);
  for (const name of Object.keys(pending)) delete pending[name];
  try {
    await fetch("parameters", { method: "POST", headers: { "Content-Type": "application/json" }, body });
  } catch {
    // The connection's state says so.
  }
  sending = false;
  send();
}

function set(name, value) {
  pending[name] = value;
  send();
}

// ---- Hearing from the bench ----------------------------------------------------------------------------------------

const events = new EventSource("events");
events.onopen = () => link("Live: redraws when the script is saved", false);
events.onerror = () => link("The bench is closed or cannot be reached", true);
events.onmessage = message => show(JSON.parse(message.data));

function link(text, lost) {
  at("link").textContent = text;
  at("link").classList.toggle("lost", lost);
}

function show(next) {
  const redrawn = !state || next.drawing !== state.drawing;
  state = next;
  document.title = `${state.layout ?? "Bench"} \u2013 Imbrex bench`;
  at("layout").textContent = state.layout ?? state.source;
  at("summary").textContent = state.summary ?? "";
  showFault(state.fault);
  showVerdict(state.verdict);
  showParameters(state.parameters);
  showTiles(state.tiles);
  if (redrawn) draw();
  at("drawing").classList.toggle("old", Boolean(state.fault));
  document.body.dataset.number = state.number;
  document.body.dataset.tookMs = state.tookMs;
  if (redrawn || !map) fetchMap();
}

// ---- Error and verdict ---------------------------------------------------------------------------------------------

function showFault(fault) {
  const box = at("fault");
  if (!fault) {
    box.replaceChildren();
    return;
  }
  const parts = [element("h2", { textContent: "The layout has an error" }), element("p", { textContent: fault.message })];
  if (fault.place) parts.push(element("p", { textContent: `At ${fault.place}` }));
  if (fault.lines.length > 0) {
    parts.push(element("pre", { tabIndex: 0, ariaLabel: "Lines of the script around the error" }, ...fault.lines.map(line =>
      element(line.faulty ? "mark" : "span", { textContent: `${line.faulty ? "\u25b8" : " "}${String(line.number).padStart(4)}  ${line.text}` }))));
  }
  if (fault.remedy) parts.push(element("p", { textContent: fault.remedy }));
  if (state.drawing) parts.push(element("p", { className: "quiet", textContent: "Drawing and verdict are those before the error." }));
  box.replaceChildren(...parts);
}

function showVerdict(verdict) {
  if (!verdict) return;
  const line = at("verdict");
  // A live region speaks when its text changes, and only then.
  if (line.textContent !== verdict.summary) line.textContent = verdict.summary;
  line.className = verdict.accepted ? "accepted" : "refused";
  if (chosen >= verdict.failures.length) chosen = -1;
  at("failures").replaceChildren(...verdict.failures.map(failure));
  at("remedies").replaceChildren(...verdict.remedies.map(remedy => element("li", { textContent: `Would do: ${remedy.text}` })));
  at("rules").tBodies[0].replaceChildren(...verdict.rules.map(rule => element("tr", {},
    element("th", { scope: "row", textContent: rule.rule }),
    element("td", { className: rule.outcome, textContent: { passed: "\u2713 passed", failed: "\u2715 failed", skipped: "\u2013 skipped" }[rule.outcome] }),
    element("td", { textContent: rule.text }))));
  const notes = [
    ...(verdict.warnings ?? []).map(warning => `Warning (${warning.rule}): ${warning.text}`),
    ...verdict.notes,
    ...(verdict.missing ?? []).map(missing => `Not known without ${missing.fields.join(" and ")}: ${missing.text}.`),
  ];
  at("notes").replaceChildren(...notes.map(text => element("li", { textContent: text })));
  at("more").hidden = notes.length === 0;
  at("more").firstElementChild.textContent = `Warnings and notes (${notes.length})`;
}

function failure(one, index) {
  const words = [element("b", { textContent: one.rule }), one.text];
  if (!one.region && one.tiles.length === 0) return element("li", {}, element("div", { className: "placeless" }, ...words));
  const button = element("button", { type: "button", title: "Point it out in the drawing" }, ...words);
  button.setAttribute("aria-pressed", String(index === chosen));
  button.onclick = () => {
    chosen = chosen === index ? -1 : index;
    for (const [i, other] of [...at("failures").children].entries()) other.querySelector("button")?.setAttribute("aria-pressed", String(i === chosen));
    point();
  };
  return element("li", {}, button);
}

// The region where there is one, otherwise the tiles.
function point() {
  const failure = state.verdict?.failures[chosen];
  for (const region of at("drawing").querySelectorAll("[data-failure]")) region.classList.toggle("chosen", Number(region.dataset.failure) === chosen);
  for (const tile of at("drawing").querySelectorAll("[data-tile]")) {
    const named = failure && !failure.region && failure.tiles.includes(state.tiles[Number(tile.dataset.tile)].id);
    tile.firstElementChild.classList.toggle("chosen", Boolean(named));
  }
}

// ---- Parameters ----------------------------------------------------------------------------------------------------

let declared = "";

function showParameters(parameters) {
  const declaration = JSON.stringify(parameters.map(({ value, ...rest }) => rest));
  if (declaration !== declared) {
    declared = declaration;
    const focused = document.activeElement?.id;
    at("parameters").replaceChildren(...(parameters.length > 0 ? parameters.map(control) : [element("p", { className: "quiet", textContent: "This layout has none." })]));
    if (focused) document.getElementById(focused)?.focus();
  }
  for (const parameter of parameters) {
    for (const input of document.querySelectorAll(`[data-parameter="${parameter.name}"]`)) {
      // What is being typed or dragged is newer than what the bench has heard of.
      if (input === document.activeElement && (input.type === "number" || sending || parameter.name in pending)) continue;
      input.value = parameter.value;
      spoken(input, parameter);
    }
  }
  const changed = parameters.filter(parameter => parameter.value !== parameter.default);
  at("options").textContent = changed.map(parameter => `--set ${parameter.name}=${parameter.value}`).join(" ");
  at("defaults").disabled = changed.length === 0;
}

function spoken(input, parameter) {
  if (input.type === "range") input.setAttribute("aria-valuetext", parameter.unit ? `${input.value} ${parameter.unit}` : input.value);
}

function control(parameter) {
  const id = `parameter-${parameter.name}`;
  const head = element("div", { className: "head" },
    element("label", { htmlFor: id, textContent: parameter.name }),
    element("span", { className: "quiet", id: `${id}-about`, textContent: `${parameter.summary} (${parameter.range})` }));
  return element("div", { className: "parameter" }, head, parameter.choices.length > 0 ? words(parameter, id) : slider(parameter, id));
}

function words(parameter, id) {
  const list = element("select", { id }, ...parameter.choices.map(choice => element("option", { value: choice, textContent: choice })));
  list.dataset.parameter = parameter.name;
  list.setAttribute("aria-describedby", `${id}-about`);
  list.onchange = () => set(parameter.name, list.value);
  return element("div", { className: "value" }, list);
}

function slider(parameter, id) {
  const range = element("input", { type: "range", id, min: parameter.sliderFrom, max: parameter.sliderTo, step: parameter.sliderStep });
  const box = element("input", { type: "number", id: `${id}-exact`, step: parameter.whole ? 1 : "any" });
  if (parameter.minimum != null) box.min = parameter.minimum;
  if (parameter.maximum != null) box.max = parameter.maximum;
  box.setAttribute("aria-label", `${parameter.name}, exact value${parameter.unit ? ` in ${parameter.unit}` : ""}`);
  for (const input of [range, box]) {
    input.dataset.parameter = parameter.name;
    input.setAttribute("aria-describedby", `${id}-about`);
  }
  range.oninput = () => {
    box.value = range.value;
    spoken(range, parameter);
    set(parameter.name, range.value);
  };
  box.oninput = () => {
    if (box.value === "" || !box.validity.valid) return;
    range.value = box.value;
    spoken(range, parameter);
    set(parameter.name, box.value);
  };
  return element("div", { className: "value" }, range, box, element("span", { className: "unit", textContent: parameter.unit }));
}

at("defaults").onclick = () => fetch("defaults", { method: "POST" }).catch(() => {});

function showTiles(tiles) {
  at("tiles").tBodies[0].replaceChildren(...tiles.map(tile => element("tr", {},
    element("td", { textContent: tile.number }), element("th", { scope: "row", textContent: tile.id }),
    element("td", { textContent: number(tile.xMm) }), element("td", { textContent: number(tile.yMm) }),
    element("td", { textContent: `${number(tile.turn)}\u00b0` }), element("td", { textContent: tile.back }))));
}

// ---- Drawing -------------------------------------------------------------------------------------------------------

let whole = "";

function draw() {
  if (!state.drawing) return;
  const drawing = document.adoptNode(new DOMParser().parseFromString(state.drawing, "image/svg+xml").documentElement);
  whole = drawing.getAttribute("viewBox");
  at("drawing").replaceChildren(drawing);
  frame();
  point();
  paint();
  mark();
}

function frame() {
  const drawing = at("drawing").querySelector("svg");
  drawing?.setAttribute("viewBox", checked("view") === "tight" ? drawing.dataset.tight : whole);
}

for (const choice of document.querySelectorAll("input[name=view]")) choice.onchange = () => { frame(); mark(); };

// ---- Heat map ------------------------------------------------------------------------------------------------------

// Bands, darkest for least: they differ in lightness, so that no colour need be told from another.
const Ramps = {
  overlap: { light: ["#3b1c54", "#5f4b8b", "#6f8fb5", "#9cc3c9", "#d6e8dc"], dark: ["#0b0714", "#3a2c66", "#4a6a97", "#6fa3b0", "#bcdccf"] },
  light: { light: ["#1b130b", "#4a3620", "#7d6038", "#b0905a", "#dcc592", "#f8efd2"], dark: ["#060403", "#33241a", "#654b2c", "#987846", "#c9b17d", "#efe3bd"] },
};

function bands(kind) {
  if (kind === "overlap") {
    const asked = state.verdict.overlapMm || 1;
    return [[asked, `under ${number(asked)} mm asked for`], [1.5 * asked, `to ${number(1.5 * asked)}`], [2.5 * asked, `to ${number(2.5 * asked)}`], [5 * asked, `to ${number(5 * asked)}`], [Infinity, "deeper"]];
  }
  return [[2 ** -2, "2 stops down or darker"], [2 ** -1.5, "to \u22121\u00bd"], [2 ** -1, "to \u22121"], [2 ** -0.5, "to \u2212\u00bd"], [2 ** -0.25, "to \u2212\u00bc"], [Infinity, "brighter"]];
}

const colours = kind => Ramps[kind][dark.matches ? "dark" : "light"];

async function fetchMap() {
  const kind = checked("map");
  if (kind === "none" || !state?.drawing) {
    map = null;
    paint();
    return;
  }
  const asked = state.number;
  try {
    const answer = await fetch(`map/${kind}`);
    if (kind !== checked("map") || asked !== state.number) return;
    map = answer.status === 200 ? { kind, ...await answer.json() } : { kind, values: null };
  } catch {
    map = null;
  }
  paint();
  read();
}

function paint() {
  const drawing = at("drawing").querySelector("svg");
  if (!drawing) return;
  const group = drawing.querySelector(".heat");
  group.querySelector("image")?.remove();
  drawing.classList.toggle("mapped", Boolean(map?.values));
  document.body.dataset.map = map ? `${map.kind} ${map.number ?? ""}`.trim() : "none";
  at("scale").replaceChildren();
  if (map && !map.values) at("scale").append(element("li", { textContent: map.kind === "light" ? "Not known: the kit has no lens." : "Nothing to show." }));
  if (!map?.values) return;
  const ground = group.querySelector(".ground");
  const image = shape("image", { preserveAspectRatio: "none", href: picture(map) });
  for (const name of ["x", "y", "width", "height"]) image.setAttribute(name, ground.getAttribute(name));
  group.append(image);
  bands(map.kind).forEach(([, words], i) => {
    const swatch = shape("svg", { viewBox: "0 0 4 3", preserveAspectRatio: "none", "aria-hidden": "true" });
    swatch.append(shape("rect", { width: 4, height: 3, fill: colours(map.kind)[i] }));
    at("scale").append(element("li", {}, swatch, words));
  });
  if (map.kind === "overlap") at("scale").append(element("li", { textContent: `(nothing is asked within ${number(state.verdict.overlapMm / 2)} mm of the edge)` }));
}

// Four times as fine as the map, values in between linearly, then one colour for each band.
function picture({ kind, columns, rows, values }) {
  const times = 4, width = columns * times, height = rows * times;
  const canvas = element("canvas", { width, height });
  const context = canvas.getContext("2d"), pixels = context.createImageData(width, height);
  const limits = bands(kind).map(([limit]) => limit);
  const inks = colours(kind).map(colour => [1, 3, 5].map(i => parseInt(colour.slice(i, i + 2), 16)));
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const value = between(values, columns, rows, (x + 0.5) / times - 0.5, (y + 0.5) / times - 0.5);
      if (value === null) continue;
      const ink = inks[limits.findIndex(limit => value < limit)], place = 4 * (y * width + x);
      pixels.data.set(ink, place);
      pixels.data[place + 3] = 255;
    }
  }
  context.putImageData(pixels, 0, 0);
  return canvas.toDataURL();
}

function between(values, columns, rows, x, y) {
  const left = Math.min(Math.max(Math.floor(x), 0), columns - 1), top = Math.min(Math.max(Math.floor(y), 0), rows - 1);
  const right = Math.min(left + 1, columns - 1), bottom = Math.min(top + 1, rows - 1);
  const a = Math.min(Math.max(x - left, 0), 1), b = Math.min(Math.max(y - top, 0), 1);
  const corners = [values[top * columns + left], values[top * columns + right], values[bottom * columns + left], values[bottom * columns + right]];
  if (corners.includes(null)) return values[Math.round(Math.min(Math.max(y, 0), rows - 1)) * columns + Math.round(Math.min(Math.max(x, 0), columns - 1))];
  return (corners[0] * (1 - a) + corners[1] * a) * (1 - b) + (corners[2] * (1 - a) + corners[3] * a) * b;
}

for (const choice of document.querySelectorAll("input[name=map]")) choice.onchange = fetchMap;
dark.addEventListener("change", paint);

// ---- Probe ---------------------------------------------------------------------------------------------------------

// Units of the drawing by mm, from the format, whose size in both is known.
function plane() {
  const ground = at("drawing").querySelector(".ground"), format = state?.verdict?.format;
  if (!ground || !format) return null;
  const [x, y, width, height] = ["x", "y", "width", "height"].map(name => Number(ground.getAttribute(name)));
  return { scale: width / format.widthMm, x: x + width / 2, y: y + height / 2 };
}

at("drawing").addEventListener("pointermove", event => {
  const drawing = at("drawing").querySelector("svg"), where = plane();
  if (!where) return;
  const place = new DOMPoint(event.clientX, event.clientY).matrixTransform(drawing.getScreenCTM().inverse());
  probe = { x: (place.x - where.x) / where.scale, y: (place.y - where.y) / where.scale };
  mark();
});

at("drawing").addEventListener("keydown", event => {
  const way = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
  if (!way) return;
  const step = event.shiftKey ? 5 : 0.5;
  probe = { x: (probe?.x ?? 0) + step * way[0], y: (probe?.y ?? 0) + step * way[1] };
  mark();
  event.preventDefault();
});

function mark() {
  const drawing = at("drawing").querySelector("svg"), where = plane();
  drawing?.querySelector(".probe")?.remove();
  if (!drawing || !where || !probe) return;
  const [x, y] = [where.x + where.scale * probe.x, where.y + where.scale * probe.y];
  drawing.append(shape("path", { class: "probe", d: `M${x - 9},${y}H${x + 9}M${x},${y - 9}V${y + 9}` }));
  read();
}

function read() {
  if (!probe || !state?.verdict) return;
  const { widthMm, heightMm } = state.verdict.format;
  const parts = [`x ${number(probe.x, 1)}, y ${number(probe.y, 1)} mm`];
  if (map?.values && Math.abs(probe.x) <= widthMm / 2 && Math.abs(probe.y) <= heightMm / 2) {
    const value = between(map.values, map.columns, map.rows, (probe.x / widthMm + 0.5) * map.columns - 0.5, (probe.y / heightMm + 0.5) * map.rows - 0.5);
    if (map.kind === "overlap") parts.push(`overlap depth ${number(value, 1)} mm`);
    else if (value === null) parts.push("shown by no tile");
    else parts.push(value > 0 ? `light left ${number(100 * value, 0)} %, ${number(Math.log2(value), 2)} stops` : "no light");
  }
  at("probe").textContent = parts.join(": ");
}
