/* Marks on a photograph: drag a rectangle, and its numbers stand in the field; typed numbers are drawn. */
"use strict";

const picture = document.querySelector("svg.marking");
const drawn = picture?.querySelector(".drawn");
const fields = picture ? [...document.querySelectorAll("input[data-mark]")] : [];
let active = null;
let drag = null;

const [wide, high] = picture ? picture.getAttribute("viewBox").split(" ").slice(2).map(Number) : [1, 1];
const perCent = (value) => (Math.round(value * 10) / 10).toString();
const numbersIn = (text) => (text.match(/\d+(?:[.,]\d+)?/g) || []).map((one) => Number(one.replace(",", ".")));

/* Four corners of what a field marks, in per cent; null while it marks nothing. */
function cornersOf(field) {
  const n = numbersIn(field.value);
  if (field.dataset.mark === "corners") {
    return n.length === 8 ? [0, 2, 4, 6].map((i) => [n[i], n[i + 1]]) : null;
  }
  return n.length === 4 ? [[n[0], n[1]], [n[2], n[1]], [n[2], n[3]], [n[0], n[3]]] : null;
}

function write(field, corners) {
  field.closest("details")?.setAttribute("open", "");
  const said = corners.map(([x, y]) => `${perCent(x)} ${perCent(y)}`);
  field.value = field.dataset.mark === "corners" ? said.join("; ") : `${said[0]} ${said[2]}`;
}

function add(name, attributes, text) {
  const made = document.createElementNS("http://www.w3.org/2000/svg", name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  if (text) made.textContent = text;
  drawn.append(made);
}

const onPicture = ([x, y]) => [(x * wide) / 100, (y * high) / 100];
const between = (a, b, share) => [a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share];

function line(a, b) {
  const [[x1, y1], [x2, y2]] = [onPicture(a), onPicture(b)];
  add("line", { x1, y1, x2, y2, class: "net" });
}

function drawNet([a, b, c, d]) {
  const count = (id) => (document.getElementById("id_kind_1")?.checked ? 1 : Number(document.getElementById(id).value) || 1);
  const [rows, columns] = [count("id_rows"), count("id_columns")];
  for (let i = 1; i < columns; i += 1) line(between(a, b, i / columns), between(d, c, i / columns));
  for (let i = 1; i < rows; i += 1) line(between(a, d, i / rows), between(b, c, i / rows));
}

function draw() {
  drawn.replaceChildren();
  for (const field of fields) {
    const corners = cornersOf(field);
    if (!corners) continue;
    const points = corners.map((one) => onPicture(one).join(",")).join(" ");
    add("polygon", { points, class: field === active ? "mark active" : "mark" });
    if (field.dataset.mark === "corners") drawNet(corners);
    const [x, y] = onPicture(corners[0]);
    add("text", { x: x + 6, y: Math.max(y - 6, 20) }, field.dataset.says || "card");
    if (field !== active || field.dataset.mark !== "corners") continue;
    for (const one of corners) {
      const [cx, cy] = onPicture(one);
      add("circle", { cx, cy, r: 9, class: "handle" });
    }
  }
}

function place(event) {
  const box = picture.getBoundingClientRect();
  const share = (value, from, size) => Math.min(Math.max(((value - from) / size) * 100, 0), 100);
  return [share(event.clientX, box.left, box.width), share(event.clientY, box.top, box.height)];
}

function nearestCorner(corners, at) {
  const away = corners.map(([x, y]) => Math.hypot((x - at[0]) * wide, (y - at[1]) * high) / 100);
  const least = Math.min(...away);
  return least < 30 ? away.indexOf(least) : -1;
}

function choose(field) {
  active = field;
  picture.classList.toggle("is-marking", Boolean(field));
  for (const button of document.querySelectorAll("button.mark-it")) {
    button.setAttribute("aria-pressed", String(button.dataset.of === field?.id));
  }
  draw();
}

function start(event) {
  if (!active) return;
  event.preventDefault();
  picture.setPointerCapture(event.pointerId);
  const at = place(event);
  const corners = active.dataset.mark === "corners" ? cornersOf(active) : null;
  const corner = corners ? nearestCorner(corners, at) : -1;
  drag = { at, corners, corner };
}

function move(event) {
  if (!drag) return;
  const at = place(event);
  if (drag.corner >= 0) {
    drag.corners[drag.corner] = at;
    write(active, drag.corners);
  } else {
    const [left, right] = [drag.at[0], at[0]].sort((a, b) => a - b);
    const [top, bottom] = [drag.at[1], at[1]].sort((a, b) => a - b);
    if (right - left < 0.3 || bottom - top < 0.3) return;
    write(active, [[left, top], [right, top], [right, bottom], [left, bottom]]);
  }
  draw();
}

function chooser(field) {
  const button = document.createElement("button");
  button.type = "button";
  button.className = "plain mark-it";
  button.dataset.of = field.id;
  button.textContent = field.dataset.mark === "corners" ? "Mark the card" : `Region ${field.dataset.says}`;
  button.addEventListener("click", () => choose(active === field ? null : field));
  return button;
}

if (picture) {
  const tools = document.querySelector(".mark-tools");
  tools.hidden = false;
  for (const field of fields) {
    tools.append(chooser(field));
    field.addEventListener("input", draw);
  }
  for (const id of ["id_rows", "id_columns", "id_kind_0", "id_kind_1"]) {
    document.getElementById(id)?.addEventListener("input", draw);
  }
  picture.addEventListener("pointerdown", start);
  picture.addEventListener("pointermove", move);
  for (const name of ["pointerup", "pointercancel"]) picture.addEventListener(name, () => { drag = null; });
  choose(cornersOf(fields[0]) ? null : fields[0]);
}
