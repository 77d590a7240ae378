// Joints are placed on a drawing by tapping, dragging or keys; each sends the form that also works without this, and shows what it answers.
const STEP = 6, FINE = 1, FAR = 4, NS = "http://www.w3.org/2000/svg";
let cross = null, isSending = false;

const root = () => document.getElementById("marking");
const form = () => root().querySelector("form[data-place]");
const holder = () => root().querySelector("[data-drawing]");
const svg = () => holder().querySelector("svg");
const numbers = (text) => text.split(" ").map(Number);
const sizes = () => numbers(svg().getAttribute("viewBox")).slice(2);

function within([x, y]) {
  const [wide, high] = sizes();
  return [Math.min(Math.max(x, 0), wide), Math.min(Math.max(y, 0), high)];
}

// Where a pointer is, in points of the page.
function pointOf(event) {
  const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(svg().getScreenCTM().inverse());
  return within([at.x, at.y]);
}

const read = (points) => (points * Number(root().dataset.factor)).toFixed(root().dataset.unit === "in" ? 1 : 0);
const numberOf = (joint) => form().querySelector(`option[value="${CSS.escape(joint)}"]`)?.textContent.split(" ·")[0] ?? "";
const typed = (points) => (points * Number(root().dataset.factor)).toFixed(4);
const markOf = (joint) => svg().querySelector(`[data-mark="${CSS.escape(joint)}"]`);

function tell(words) {
  const told = root().querySelector("[data-told]");
  if (told) told.textContent = words;
}

// Send a place and take from the answer what shows it; the rest of the page, and where it is scrolled to, stay.
async function place(joint, at, label) {
  if (!joint) return tell("Choose the joint to move first.");
  if (isSending) return;
  isSending = true;
  const data = new FormData(form());
  data.set("joint", joint);
  [data.set("x", typed(at[0])), data.set("y", typed(at[1]))];
  data.set("label_x", label ? typed(label[0]) : "");
  data.set("label_y", label ? typed(label[1]) : "");
  const scrolled = [holder().scrollLeft, holder().scrollTop], hadFocus = document.activeElement === holder();
  try {
    const answer = await fetch(location.href, { method: "POST", body: data, credentials: "same-origin" });
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    const fresh = page.getElementById("marking");
    if (!fresh && answer.redirected) return tell("Not placed: you are signed out. Load the page again, sign in, and place it once more.");
    if (!fresh) throw new Error(String(answer.status));
    root().replaceWith(document.adoptNode(fresh));
    begin();
    [holder().scrollLeft, holder().scrollTop] = scrolled;
    if (hadFocus) holder().focus({ preventScroll: true });
    if (answer.ok) tell(`Joint ${numberOf(joint)} stands at ${read(at[0])} x ${read(at[1])} ${root().dataset.unit}.`);
    else document.getElementById("faults")?.focus();
  } catch {
    tell("Not placed: the site did not answer. Try again.");
  } finally {
    isSending = false;
  }
}

function showCross() {
  let drawn = svg().querySelector(".mark-cross");
  if (!drawn) {
    drawn = document.createElementNS(NS, "path");
    drawn.setAttribute("class", "mark-cross");
    svg().append(drawn);
  }
  const [x, y] = cross;
  drawn.setAttribute("d", `M${x - 14} ${y}h28M${x} ${y - 14}v28`);
}

function keys(event) {
  if (event.target !== holder() || event.ctrlKey || event.metaKey || event.altKey) return;
  const ways = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
  const [wide, high] = sizes(), joint = form().elements.joint.value;
  cross ??= [wide / 2, high / 2];
  if (event.key in ways) {
    const step = event.shiftKey ? FINE : STEP;
    cross = within([cross[0] + ways[event.key][0] * step, cross[1] + ways[event.key][1] * step]);
    showCross();
  } else if (event.key === "Enter") {
    place(joint, cross);
  } else if (event.key.toLowerCase() === "l" && markOf(joint)) {
    place(joint, numbers(markOf(joint).dataset.at), cross);
  } else return;
  event.preventDefault();
}

// Dragging the ring moves the ring; dragging the dot moves the weld and takes the ring with it.
function drag(start) {
  const mark = start.target.closest("[data-mark]");
  if (!mark || start.button) return;
  const isDot = start.target.classList.contains("mark-place"), from = pointOf(start);
  let to = from, hasMoved = false;
  const move = (event) => {
    to = pointOf(event);
    hasMoved ||= Math.hypot(event.clientX - start.clientX, event.clientY - start.clientY) > FAR;
    if (!hasMoved) return;
    (isDot ? mark : mark.querySelector("a")).setAttribute("transform", `translate(${to[0] - from[0]} ${to[1] - from[1]})`);
  };
  const end = (event) => {
    for (const [name, act] of [["pointermove", move], ["pointerup", end], ["pointercancel", end]]) window.removeEventListener(name, act);
    if (!hasMoved) return;
    // The click that follows a drag opens no joint card and places nothing.
    const swallow = (click) => { click.preventDefault(); click.stopPropagation(); };
    window.addEventListener("click", swallow, { capture: true, once: true });
    setTimeout(() => window.removeEventListener("click", swallow, { capture: true }), 50);
    if (event.type === "pointercancel") return mark.querySelector("a").removeAttribute("transform");
    const [at, label] = [numbers(mark.dataset.at), numbers(mark.dataset.label)], by = [to[0] - from[0], to[1] - from[1]];
    const moved = (point) => within([point[0] + by[0], point[1] + by[1]]);
    place(mark.dataset.mark, isDot ? moved(at) : at, moved(label));
  };
  for (const [name, act] of [["pointermove", move], ["pointerup", end], ["pointercancel", end]]) window.addEventListener(name, act);
}

function begin() {
  if (!form()) return;
  root().querySelector("[data-with-script]").hidden = false;
  holder().addEventListener("keydown", keys);
  holder().addEventListener("pointerdown", drag);
  holder().addEventListener("dragstart", (event) => event.preventDefault());
  // A thumb on a mark moves the mark and not the page; inside a drawing, browsers heed no touch-action.
  holder().addEventListener("touchmove", (event) => { if (event.target.closest("[data-mark]")) event.preventDefault(); }, { passive: false });
  holder().addEventListener("click", (event) => {
    if (event.target.closest("[data-mark]")) return;
    cross = pointOf(event);
    place(form().elements.joint.value, cross);
  });
  if (cross) showCross();
}

begin();
