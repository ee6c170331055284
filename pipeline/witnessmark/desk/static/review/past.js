// Earlier figures of the same part: a small plot with the limit, and the same as a table.

import { day, el, svg } from "../common.js";

const WIDE = 320;
const HIGH = 140;
const EDGE = { left: 8, right: 56, top: 14, bottom: 28 };

/** A section with what the record has of that part; `on` is the day of the walkround in hand. */
export function pastOf(past, on) {
  const box = el("section", { class: "past", "aria-label": "Earlier in the record" }, el("h3", {}, "Earlier in the record"));
  if (past.note) box.append(el("p", { class: "soft" }, past.note));
  const drawn = past.points.filter((point) => point.value !== null);
  if (drawn.length && past.now !== null) box.append(plot(past, drawn, on));
  if (past.points.length) box.append(table(past));
  if (past.others.length) {
    box.append(el("ul", { class: "told-before" }, past.others.map((one) =>
      el("li", {}, el("span", { class: "soft" }, `${day(one.on)}: `), one.says))));
  }
  return box;
}

function table(past) {
  const jump = past.points.length && past.now !== null && past.now_distance === past.now;
  const rows = [...past.points].reverse().map((point) => el("tr", {},
    el("td", {}, day(point.on)),
    el("td", { class: "number" }, point.distance === null ? "–" : `${number(point.distance)} ${past.clock}`),
    jump ? null : el("td", { class: "number" }, point.says)));
  return el("table", { class: "small" },
    el("thead", {}, el("tr", {}, el("th", { scope: "col" }, "Inspected"),
      el("th", { scope: "col", class: "number" }, "Odometer"),
      jump ? null : el("th", { scope: "col", class: "number" }, "Reading"))),
    el("tbody", {}, rows));
}

const number = (value) => new Intl.NumberFormat("en-GB", { maximumFractionDigits: 2 }).format(value);

function plot(past, points, on) {
  const own = past.now_distance === past.now;
  const byDistance = !own && past.now_distance !== null && points.every((point) => point.distance !== null);
  const xs = points.map((point) => (byDistance ? point.distance : Date.parse(point.on)));
  const nowX = byDistance ? past.now_distance : Date.parse(on);
  const bounds = Object.entries(past.limit || {}).filter(([, value]) => value !== null);
  const ys = [...points.map((point) => point.value), past.now, ...bounds.map(([, value]) => value)];
  const x = scale(Math.min(...xs, nowX), Math.max(...xs, nowX), EDGE.left + 6, WIDE - EDGE.right);
  const y = scale(Math.min(...ys), Math.max(...ys), HIGH - EDGE.bottom, EDGE.top);
  const all = [...points.map((point, n) => [x(xs[n]), y(point.value)]), [x(nowX), y(past.now)]];
  const unit = past.unit || "";
  return svg("svg", { class: "plot", viewBox: `0 0 ${WIDE} ${HIGH}`, role: "img", "aria-label": inWords(past, points, bounds) },
    bounds.map(([name, value]) => limitLine(name, value, y(value), unit)),
    svg("polyline", { class: "way", points: all.map((at) => at.join(",")).join(" ") }),
    all.slice(0, -1).map(([cx, cy]) => svg("circle", { class: "then", cx, cy, r: 3 })),
    svg("circle", { class: "now", cx: all.at(-1)[0], cy: all.at(-1)[1], r: 5 }),
    svg("text", { x: all.at(-1)[0] + 9, y: all.at(-1)[1] + 4, class: "strong" }, `${number(past.now)} ${unit}`),
    svg("text", { x: EDGE.left, y: HIGH - 4 }, byDistance ? `${number(xs[0])} ${past.clock}` : day(points[0].on)),
    svg("text", { x: all.at(-1)[0], y: HIGH - 4, "text-anchor": "middle" }, byDistance ? number(nowX) : day(on)));
}

function limitLine(name, value, at, unit) {
  const says = { low: "at least", high: "at most", target: "aim for" }[name];
  return [
    svg("line", { class: name === "target" ? "aim" : "bound", x1: EDGE.left, x2: WIDE - EDGE.right + 6, y1: at, y2: at }),
    svg("text", { x: EDGE.left, y: at - 3 }, `${says} ${number(value)} ${unit}`),
  ];
}

/** Values to places; one value alone stands in the middle. */
function scale(least, most, from, to) {
  const room = most - least;
  return (value) => Math.round((room ? from + ((value - least) / room) * (to - from) : (from + to) / 2) * 10) / 10;
}

function inWords(past, points, bounds) {
  const unit = past.unit || "";
  const then = points.map((point) => number(point.value)).join(", ");
  const limits = bounds.map(([name, value]) => ({ low: "at least", high: "at most", target: "aim for" })[name] + ` ${number(value)} ${unit}`);
  return `Earlier ${then} ${unit}, now ${number(past.now)} ${unit}${limits.length ? `; limit ${limits.join(", ")}` : ""}. The table below has the figures.`;
}
