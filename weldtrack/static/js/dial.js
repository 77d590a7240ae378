// The dial: where a pass starts and stops, set on a clock face with a thumb. The two text fields stay; the dial only fills them.
// Needs quantity.js.
const SVG = "http://www.w3.org/2000/svg";
const CENTRE = 130, OUTER = 96, INNER = 74, SNAP = 7.5, STILL = 10;

function shape(name, attributes, parent) {
  const made = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  parent?.append(made);
  return made;
}

function point(radius, degrees) {
  const turn = degrees * Math.PI / 180;
  return [CENTRE + radius * Math.sin(turn), CENTRE - radius * Math.cos(turn)];
}

function arc(radius, start, stop) {
  const sweep = (stop - start + 360) % 360;
  const [x1, y1] = point(radius, start), [x2, y2] = point(radius, sweep ? stop : start + 359.9);
  return `M${x1} ${y1}A${radius} ${radius} 0 ${sweep > 180 || !sweep ? 1 : 0} 1 ${x2} ${y2}`;
}

function hours(angle) {
  const minutes = Math.round(angle * 2), hour = Math.floor(minutes / 60) % 12 || 12, rest = minutes % 60;
  return rest ? `${hour}:${String(rest).padStart(2, "0")}` : String(hour);
}

function apart(a, b) {
  const between = Math.abs(a - b) % 360;
  return Math.min(between, 360 - between);
}

function face() {
  const svg = shape("svg", { viewBox: "0 0 260 260", class: "dial-face", "aria-hidden": "true" });
  shape("circle", { cx: CENTRE, cy: CENTRE, r: OUTER, class: "dial-ring" }, svg);
  for (let hour = 0; hour < 12; hour += 1) {
    const [x1, y1] = point(OUTER + 8, hour * 30), [x2, y2] = point(OUTER + (hour % 3 ? 12 : 16), hour * 30);
    shape("line", { x1, y1, x2, y2, class: "dial-tick" }, svg);
  }
  for (const hour of [12, 3, 6, 9]) {
    const [x, y] = point(OUTER + 25, hour * 30);
    shape("text", { x, y: y + 5, "text-anchor": "middle" }, svg).textContent = hour;
  }
  return svg;
}

function build(holder) {
  const { least, before } = JSON.parse(holder.dataset.dial);
  const fields = { start: document.getElementById("id_start"), stop: document.getElementById("id_stop") };
  const svg = face();
  for (const one of before) shape("path", { d: arc(INNER, one.start, one.stop), class: "dial-before" }, svg);
  const band = shape("path", { class: "dial-band" }, svg);
  const handles = Object.fromEntries(["start", "stop"].map((name) => [name, shape("circle", { r: 17, class: `dial-handle dial-${name}` }, svg)]));
  const words = shape("text", { x: CENTRE, y: CENTRE + 6, "text-anchor": "middle", class: "dial-says" }, svg);
  const hint = shape("text", { x: CENTRE, y: CENTRE + 26, "text-anchor": "middle", class: "dial-clear" }, svg);
  let held = "start", isAgain = false, pressed = [0, 0];

  function show() {
    const at = { start: quantity.degrees(fields.start.value) ?? null, stop: quantity.degrees(fields.stop.value) ?? null };
    for (const [name, handle] of Object.entries(handles)) {
      handle.toggleAttribute("hidden", at[name] === null);
      if (at[name] === null) continue;
      const [cx, cy] = point(OUTER, at[name]);
      handle.setAttribute("cx", cx);
      handle.setAttribute("cy", cy);
    }
    band.setAttribute("d", at.start === null || at.stop === null ? "" : arc(OUTER, at.start, at.stop));
    words.textContent = at[held] === null ? `tap the ${held}` : `${held} ${hours(at[held])}`;
    const last = before.at(-1);
    const clear = last && at[held] !== null ? apart(at[held], last[held]) : null;
    hint.textContent = at.start !== null && at.stop === null && held === "stop" ? "the start again: all round" : clear === null ? "" : `${Math.round(clear)}° from pass ${last.order}${least && clear < least ? `, at least ${least}°` : ""}`;
    hint.classList.toggle("is-out", clear !== null && Boolean(least) && clear < least);
  }

  function angleOf(event) {
    const box = svg.getBoundingClientRect();
    const x = event.clientX - box.left - box.width / 2, y = event.clientY - box.top - box.height / 2;
    const angle = (Math.atan2(x, -y) * 180 / Math.PI + 360) % 360;
    return Math.round(angle / SNAP) * SNAP % 360;
  }

  function place(event) {
    fields[held].value = hours(angleOf(event));
    show();
  }

  svg.addEventListener("pointerdown", (event) => {
    isAgain = event.target === handles.start && !fields.stop.value;
    pressed = [event.clientX, event.clientY];
    if (event.target === handles.start) held = "start";
    else if (event.target === handles.stop) held = "stop";
    else held = fields.start.value && !fields.stop.value ? "stop" : fields.start.value ? held : "start";
    svg.setPointerCapture(event.pointerId);
    if (!isAgain) place(event);
  });
  svg.addEventListener("pointermove", (event) => {
    // A thumb is never quite still: the start moves once it is dragged away from where the thumb came down.
    const moved = Math.hypot(event.clientX - pressed[0], event.clientY - pressed[1]);
    if (!svg.hasPointerCapture(event.pointerId) || (isAgain && moved < STILL)) return;
    isAgain = false;
    place(event);
  });
  svg.addEventListener("pointerup", () => {
    if (isAgain) fields.stop.value = fields.start.value;
    if (isAgain || (held === "start" && !fields.stop.value)) { held = "stop"; show(); }
    isAgain = false;
  });
  for (const [name, field] of Object.entries(fields)) {
    field.addEventListener("focus", () => { held = name; show(); });
    field.addEventListener("input", show);
  }
  holder.append(svg);
  holder.hidden = false;
  fields.start.closest(".field").before(holder);
  show();
}

for (const holder of document.querySelectorAll("[data-dial]")) build(holder);
