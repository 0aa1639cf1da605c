// The saw page: shows the next step at once, keeps what was said, and sends it when it can.
"use strict";

const job = document.body.dataset.job;
const by = document.body.dataset.by;
const at = (id) => document.getElementById(id);
//: A wet finger touches twice; the second touch within this time is none.
const SECOND_TOUCH = 600;

let standing = JSON.parse(at("standing").textContent);
let sending = false;
let pause = 1000;
let timer = null;
let touched = 0;
let refusedWords = "";
let wrong = "";

// What is left, with what waits here taken off already.

function stepsLeft() {
  let steps = standing.steps.map((step) => ({ ...step }));
  for (const { said } of waiting()) {
    if (said.kind === "done") {
      steps = steps.map((step) => step.name === said.step
        ? { ...step, which: step.which.filter((one) => !said.which.includes(one)) } : step);
    } else if (said.kind === "broken" && said.cut_tile !== null && said.cut_tile !== undefined) {
      steps = steps.map((step) => step.tile === said.cut_tile
        ? { ...step, which: step.which.filter((one) => one !== said.which) } : step);
    } else if (said.kind === "measured") {
      const gone = steps.filter((step) => step.pieces.includes(said.piece)).map((step) => step.tile);
      steps = steps.filter((step) => !gone.includes(step.tile));
    }
  }
  return steps.filter((step) => step.which.length > 0);
}

// What waits here and was not taken back here.
function waiting() {
  const all = Queue.all(job);
  const back = all.filter((entry) => entry.said.kind === "undo").map((entry) => entry.said.entry);
  return all.filter((entry) => entry.said.kind !== "undo" && !back.includes(entry.id));
}

// What "take back" would take back: the last that waits here, else the last that the service knows.
function lastSaid() {
  const here = waiting();
  if (here.length) return { id: here[here.length - 1].id, words: words(here[here.length - 1].said) };
  const back = Queue.all(job).some((entry) => entry.said.kind === "undo" && !isHere(entry.said.entry));
  return back ? null : standing.undo;
}

function isHere(id) { return Queue.all(job).some((entry) => entry.id === id); }

function words(said) {
  if (said.kind === "done") return `tile ${said.cut_tile}`;
  if (said.kind === "broken") return `tile ${said.cut_tile} broke`;
  return said.kind === "measured" ? `${said.piece} measured anew` : said.kind;
}

// Showing.

let shownStep = null;

function show() {
  const steps = stepsLeft();
  const step = steps[0];
  at("next").hidden = !step;
  at("all-done").hidden = Boolean(step);
  at("done").disabled = !step;
  if (step) showStep(step);
  showAfter(steps.slice(1, 6), steps.length);
  const last = lastSaid();
  at("undo").disabled = !last;
  at("undo-what").textContent = last ? last.words : "";
  at("problem").hidden = !standing.problem;
  at("problem").textContent = standing.problem ? `There is no new plan: ${standing.problem}` : "";
  showTold();
  showLine();
  document.body.dataset.waits = Queue.all(job).length;
}

function showStep(step) {
  const times = step.which.length;
  at("fence-row").classList.toggle("anew", step.sets);
  at("fence-row").hidden = step.fence === null;
  at("fence-word").textContent = step.sets || step.fence === null ? "Set the fence to" : "The fence stays at";
  at("fence").textContent = step.fence === null ? "" : step.fence;
  at("edge").textContent = step.edge ? `${step.edge} edge to it (${step.factory ? "factory" : "sawn"})` : "";
  at("bench").innerHTML = step.drawing || "";
  at("take").textContent = step.take;
  const stroke = step.stroke ? ` (${step.stroke})` : "";
  const does = step.do === "Cut" && !stroke ? "" : step.do + stroke;
  at("do").textContent = times > 1 ? `${times} times: ${does || "Cut"}` : does;
  at("do").hidden = !at("do").textContent;
  at("then").replaceChildren(...step.then.map((said) => element("li", said)));
  at("done-what").textContent = step.pieces.length ? step.pieces.join(", ") : `tile ${step.tile}`;
  if (shownStep !== null && shownStep !== step.name) {
    at("news").textContent = step.fence === null ? step.do
      : `${at("fence-word").textContent} ${step.fence_words}. ${at("edge").textContent}. ${step.do}`;
  }
  shownStep = step.name;
}

function showAfter(steps, count) {
  at("after").replaceChildren(...steps.map((step) => {
    const fence = step.fence === null ? step.do : step.fence_words;
    const pieces = step.pieces.length ? `: ${step.pieces.join(", ")}` : "";
    return element("li", `${fence}, tile ${step.tile}${pieces}`);
  }));
  if (count > 6) at("after").append(element("li", `and ${count - 6} more`));
}

function showTold() {
  const here = waiting().reverse().map((entry) => element("li", `${words(entry.said)} (waits to be sent)`, { class: "waits" }));
  const there = standing.history.slice(0, 12).map((one) => {
    const line = element("li", one.words + (one.gone ? " (taken back)" : ""), one.gone ? { class: "gone" } : {});
    if (one.refused) line.append(element("strong", ` not taken: ${one.refused}`, { class: "fault" }));
    return line;
  });
  at("told").replaceChildren(...here, ...there);
}

function showLine() {
  const line = at("line");
  line.className = "line";
  if (wrong === "signed out") {
    line.className = "line off";
    line.replaceChildren(`You are signed out; ${waits(job)} here. `,
      element("a", "Come in again", { href: `/enter?next=${encodeURIComponent(location.pathname + location.search)}` }));
  } else if (Queue.all(job).length && wrong) {
    line.className = "line off";
    line.textContent = `${wrong === "no connection" ? "No connection" : wrong}: ${waits(job)} here and will be sent. Go on.`;
  } else if (refusedWords) {
    line.className = "line off";
    line.textContent = refusedWords;
  } else {
    const left = stepsLeft().length;
    line.textContent = `${left} ${left === 1 ? "step" : "steps"} left, about ${Math.ceil(standing.seconds / 60)} min`;
  }
}

// Saying and sending.

function say(said) {
  refusedWords = "";
  Queue.add(job, said);
  show();
  send();
}

async function send() {
  if (sending) return;
  sending = true;
  clearTimeout(timer);
  document.body.classList.add("sending");
  const told = await Queue.send(job, by);
  document.body.classList.remove("sending");
  sending = false;
  wrong = told.wrong || "";
  if (told.none) {
    refusedWords = `Not taken: ${told.none}`;
    if (Queue.all(job).length) timer = setTimeout(send, 0);
  } else if (told.wrong) {
    timer = setTimeout(send, pause);
    pause = Math.min(pause * 2, 15000);
  } else {
    pause = 1000;
    standing = told.standing;
    const refused = Object.values(told.refused);
    if (refused.length) refusedWords = `Not taken: ${refused.join("; ")}`;
    if (Queue.all(job).length) timer = setTimeout(send, 0);
  }
  show();
}

// Another phone may work on the same job.
async function look() {
  if (document.hidden || sending || Queue.all(job).length) return;
  const answer = await fetch(`/jobs/${job}/standing?by=${by}`).catch(() => null);
  if (!answer || !answer.ok || sending || Queue.all(job).length) return;
  const told = await answer.json().catch(() => null);
  if (told && told.standing.number !== standing.number) {
    standing = told.standing;
    show();
  }
}

function isSecondTouch() {
  const now = Date.now();
  const isSecond = now - touched < SECOND_TOUCH;
  touched = now;
  return isSecond;
}

at("done").addEventListener("click", () => {
  const step = stepsLeft()[0];
  if (!step || isSecondTouch()) return;
  say({ ...step.said, which: step.which });
  window.scrollTo({ top: 0 });
});

at("undo").addEventListener("click", () => {
  const last = lastSaid();
  if (!last || isSecondTouch()) return;
  say({ kind: "undo", entry: last.id });
});

// The two sheets.

function open(name) {
  for (const id of ["broken", "measured"]) at(id).hidden = id !== name;
  document.body.classList.toggle("in-sheet", Boolean(name));
  if (name) {
    at(`${name}-h`).focus();
    at(name).scrollIntoView();
  }
}

at("broken-open").addEventListener("click", () => {
  const step = stepsLeft()[0];
  const parts = step ? step.parts.map((part, number) => pick(`part ${number}`, `tile ${step.tile}: ${part.words}`, {
    cut_tile: step.tile, part: part.part, size: part.size, step: part.words.startsWith("after the cut") ? step : null })) : [];
  const finished = standing.finished.map((one) => pick(`${one.cut_tile}.${one.which}.${one.part}`,
    `finished piece ${one.piece}, of tile ${one.cut_tile}`, one));
  const boxes = standing.tiles.map((tile) => pick(`box ${tile.id}`,
    `a whole tile out of the box (${tile.id}, ${tile.size})`, { tile: tile.id, size: tile.sides }));
  at("broken-parts").replaceChildren(...parts, ...finished, ...boxes);
  at("broken-which").replaceChildren(...(step ? step.which : [1]).map((one) => element("option", String(one), { value: one })));
  at("broken-which-row").hidden = !step || step.which.length < 2;
  at("broken-form").reset();
  const first = at("broken-parts").querySelector("input");
  if (first) first.checked = true;
  drawPad();
  open("broken");
});

function pick(value, words, what) {
  const label = element("label");
  const input = element("input", "", { type: "radio", name: "broken-part", required: "", value });
  input.what = what;
  label.append(input, ` ${words}`);
  return label;
}

function picked() {
  const input = at("broken-parts").querySelector("input:checked");
  return input && input.what;
}

at("broken-parts").addEventListener("change", () => { clearRuns(); drawPad(); });

// The pad: what broke, to be touched where the break begins and where it ends.

const RUNS = ["runs-x1", "runs-y1", "runs-x2", "runs-y2"];

function clearRuns() { for (const id of RUNS) at(id).value = ""; }

function drawPad() {
  const what = picked();
  if (!what) return;
  const [width, height] = what.size;
  const name = "http://www.w3.org/2000/svg";
  const side = Math.max(width, height);
  const svg = document.createElementNS(name, "svg");
  svg.setAttribute("viewBox", [-side / 20, -side / 20, width + side / 10, height + side / 10].join(" "));
  svg.setAttribute("aria-hidden", "true");
  const add = (kind, attributes) => {
    const made = document.createElementNS(name, kind);
    for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
    svg.append(made);
  };
  add("rect", { width, height, class: "whole", "stroke-width": side / 150 });
  const [x1, y1, x2, y2] = RUNS.map((id) => at(id).value === "" ? NaN : Number(at(id).value.replace(",", ".")));
  if (!Number.isNaN(x1 + y1)) add("circle", { cx: x1, cy: height - y1, r: side / 40, class: "crack" });
  if (!Number.isNaN(x1 + y1 + x2 + y2)) {
    add("circle", { cx: x2, cy: height - y2, r: side / 40, class: "crack" });
    add("line", { x1, y1: height - y1, x2, y2: height - y2, class: "crack", "stroke-width": side / 80 });
  }
  at("pad").replaceChildren(svg);
}

at("pad").addEventListener("click", (event) => {
  const svg = at("pad").querySelector("svg");
  const what = picked();
  if (!svg || !what) return;
  const [width, height] = what.size;
  const spot = new DOMPoint(event.clientX, event.clientY).matrixTransform(svg.getScreenCTM().inverse());
  const grain = standing.units === "in" ? 16 : 1;
  const put = (value, most) => String(Math.round(Math.min(Math.max(value, 0), most) * grain) / grain);
  const end = at("runs-x1").value === "" || at("runs-x2").value !== "" ? "1" : "2";
  if (end === "1") clearRuns();
  at(`runs-x${end}`).value = put(spot.x, width);
  at(`runs-y${end}`).value = put(height - spot.y, height);
  drawPad();
});

for (const id of RUNS) at(id).addEventListener("input", drawPad);

at("broken-form").addEventListener("submit", (event) => {
  event.preventDefault();
  const what = picked();
  if (!what || isSecondTouch()) return;
  const said = { kind: "broken", usable: usable() };
  const runs = RUNS.map((id) => plainNumber(at(id).value.trim()));
  if (runs.every(Boolean)) said.runs = [[runs[0], runs[1]], [runs[2], runs[3]]];
  if (what.tile) {
    said.tile = what.tile;
  } else {
    said.cut_tile = what.cut_tile;
    said.which = what.which || Number(at("broken-which").value) || 1;
    said.part = what.part;
    // What breaks after the cut was cut: both are said, one after the other.
    if (what.step) Queue.add(job, { ...what.step.said, which: [said.which] });
  }
  open(null);
  say(said);
  window.scrollTo({ top: 0 });
});

function usable() {
  const width = at("usable-width").value.trim(), height = at("usable-height").value.trim();
  if (!width || !height) return [];
  const edges = [...document.querySelectorAll("[name=usable-edge]:checked")].map((box) => box.value);
  return [{ width: plainNumber(width), height: plainNumber(height), factory_edges: edges }];
}

function plainNumber(text) { return text.replace(/^(\d+),(\d+)$/, "$1.$2"); }

at("measured-open").addEventListener("click", () => {
  const step = stepsLeft()[0];
  const pieces = standing.pieces.filter((piece) => piece.rectangle && piece.laid === 0);
  const usual = step && step.pieces[0];
  at("measured-piece").replaceChildren(...pieces.map((piece) => element("option", `${piece.id} (${piece.size})`,
    piece.id === usual ? { value: piece.id, selected: "" } : { value: piece.id })));
  fillMeasures();
  open("measured");
});

function fillMeasures() {
  const piece = standing.pieces.find((one) => one.id === at("measured-piece").value);
  at("measured-width").value = piece ? piece.width : "";
  at("measured-height").value = piece ? piece.height : "";
}

at("measured-piece").addEventListener("change", fillMeasures);

at("measured-form").addEventListener("submit", (event) => {
  event.preventDefault();
  if (isSecondTouch()) return;
  open(null);
  say({
    kind: "measured",
    piece: at("measured-piece").value,
    width: plainNumber(at("measured-width").value.trim()),
    height: plainNumber(at("measured-height").value.trim()),
  });
  window.scrollTo({ top: 0 });
});

for (const button of document.querySelectorAll("[data-close]")) {
  button.addEventListener("click", () => { open(null); at("done").focus(); });
}
document.addEventListener("keydown", (event) => { if (event.key === "Escape") open(null); });
at("by").addEventListener("change", (event) => event.target.form.submit());
addEventListener("online", send);
addEventListener("storage", show);
document.addEventListener("visibilitychange", () => { stayAwake(); look(); });
setInterval(look, 20000);

// Where the browser allows it, the screen stays on.
async function stayAwake() {
  if (navigator.wakeLock && !document.hidden) await navigator.wakeLock.request("screen").catch(() => null);
}

stayAwake();
show();
if (Queue.all(job).length) send();
