// form[data-outline]: a tap on the picture (picture.js says where) adds a line to the field of its
// view, and the lines of both fields are drawn over the pictures. The fields are what is sent.

const form = document.querySelector("form[data-outline]");
const fields = { profile: form?.elements.namedItem("outline"), front: form?.elements.namedItem("front_outline") };
const back = document.querySelector("[data-outline-back]");
const SVG = "http://www.w3.org/2000/svg";
let last = "profile";

const pictureOf = (view) => document.querySelector(`svg.placing-picture[data-view="${view}"]`);

function pointsOf(view) {
  return fields[view].value
    .split("\n")
    .map((line) => line.trim().replaceAll(",", ".").split(/[\s;|]+/).map(Number))
    .filter((pair) => pair.length === 2 && pair.every(Number.isFinite));
}

function draw(view) {
  const svg = pictureOf(view);
  const group = svg?.querySelector("[data-mm]");
  if (!group) return;
  let path = group.querySelector(".placing-drawn");
  if (!path) {
    path = document.createElementNS(SVG, "path");
    path.setAttribute("class", "placing-drawn");
    group.append(path);
  }
  const across = Number(svg.dataset.across);
  const places = pointsOf(view).map(([x, y]) => `${x * across} ${-y}`);
  // A point is seen from the first one on: a line of no length with round ends.
  const dots = places.map((place) => `M${place}h0`).join("");
  path.setAttribute("d", places.length ? `M${places.join("L")}Z${dots}` : "");
}

function add(event) {
  const { view, mm } = event.detail;
  if (!fields[view] || !mm) return;
  const line = mm.map((value) => Math.round(value * 2) / 2).join(" ");
  const text = fields[view].value.trimEnd();
  fields[view].value = text ? `${text}\n${line}` : line;
  last = view;
  draw(view);
  document.getElementById("announce").textContent = `Point ${pointsOf(view).length}: ${line}`;
}

function takeBack() {
  fields[last].value = fields[last].value.trimEnd().split("\n").slice(0, -1).join("\n");
  draw(last);
}

if (form) {
  document.addEventListener("picture:tap", add);
  back?.addEventListener("click", takeBack);
  for (const view of ["profile", "front"]) {
    fields[view].addEventListener("input", () => draw(view));
    draw(view);
  }
}
