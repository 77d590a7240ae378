// The isometric larger and smaller, and moved: by buttons, keys, the wheel with Ctrl, and dragging. Without it the sheet scrolls.
const LEAST = 0.12, STEP = 1.3, MOVE = 0.1;

class View {
  constructor(holder) {
    this.holder = holder;
    this.svg = holder.querySelector("svg");
    const [x, y, wide, high] = this.svg.getAttribute("viewBox").split(" ").map(Number);
    this.whole = { x, y, wide, high };
    this.now = { ...this.whole };
  }

  show() {
    const { whole, now } = this;
    now.x = Math.min(Math.max(now.x, whole.x), whole.x + whole.wide - now.wide);
    now.y = Math.min(Math.max(now.y, whole.y), whole.y + whole.high - now.high);
    this.holder.classList.toggle("is-larger", now.wide < whole.wide);
    this.svg.setAttribute("viewBox", [now.x, now.y, now.wide, now.high].map((part) => part.toFixed(2)).join(" "));
  }

  // Larger by a factor, with the point at these shares of the picture left where it is.
  scale(factor, across = 0.5, down = 0.5) {
    const wide = Math.min(Math.max(this.now.wide / factor, this.whole.wide * LEAST), this.whole.wide);
    const high = wide * this.whole.high / this.whole.wide;
    this.now.x += (this.now.wide - wide) * across;
    this.now.y += (this.now.high - high) * down;
    this.now.wide = wide;
    this.now.high = high;
    this.show();
  }

  move(across, down) {
    this.now.x += across * this.now.wide;
    this.now.y += down * this.now.high;
    this.show();
  }

  all() {
    this.now = { ...this.whole };
    this.show();
  }
}

function buttons(holder, view) {
  const row = document.createElement("p");
  row.className = "iso-buttons";
  for (const [words, act] of [["Larger", () => view.scale(STEP)], ["Smaller", () => view.scale(1 / STEP)], ["Whole sheet", () => view.all()]]) {
    const button = document.createElement("button");
    button.type = "button";
    button.textContent = words;
    button.addEventListener("click", act);
    row.append(button);
  }
  holder.before(row);
}

function keys(holder, view) {
  const acts = {
    "+": () => view.scale(STEP), "=": () => view.scale(STEP), "-": () => view.scale(1 / STEP), 0: () => view.all(),
    ArrowLeft: () => view.move(-MOVE, 0), ArrowRight: () => view.move(MOVE, 0), ArrowUp: () => view.move(0, -MOVE), ArrowDown: () => view.move(0, MOVE),
  };
  holder.addEventListener("keydown", (event) => {
    // The whole sheet still scrolls with the page; arrows move it once it is larger than its frame.
    const isWhole = view.now.wide === view.whole.wide && event.key.startsWith("Arrow");
    if (event.ctrlKey || event.metaKey || event.altKey || isWhole || !(event.key in acts)) return;
    event.preventDefault();
    acts[event.key]();
  });
  // A joint reached by key comes into view.
  holder.addEventListener("focusin", (event) => {
    const joint = event.target.closest?.("a.iso-joint");
    if (!joint || view.now.wide === view.whole.wide) return;
    const box = joint.getBBox();
    view.now.x = box.x + box.width / 2 - view.now.wide / 2;
    view.now.y = box.y + box.height / 2 - view.now.high / 2;
    view.show();
  });
}

function pointer(holder, view) {
  holder.addEventListener("wheel", (event) => {
    if (!event.ctrlKey) return;
    event.preventDefault();
    const box = view.svg.getBoundingClientRect();
    view.scale(event.deltaY < 0 ? STEP : 1 / STEP, (event.clientX - box.left) / box.width, (event.clientY - box.top) / box.height);
  }, { passive: false });
  let from = null, moved = false;
  view.svg.addEventListener("pointerdown", (event) => {
    if (event.button !== 0 || view.now.wide === view.whole.wide) return;
    from = { x: event.clientX, y: event.clientY };
    moved = false;
  });
  view.svg.addEventListener("pointermove", (event) => {
    if (!from) return;
    const box = view.svg.getBoundingClientRect();
    const across = event.clientX - from.x, down = event.clientY - from.y;
    if (!moved && Math.hypot(across, down) < 6) return;
    moved = true;
    view.move(-across / box.width, -down / box.height);
    from = { x: event.clientX, y: event.clientY };
  });
  // Letting go after a drag opens no joint: a mouse clicks then, a thumb does not, and its next tap opens one.
  const end = () => { from = null; setTimeout(() => { moved = false; }, 50); };
  for (const name of ["pointerup", "pointercancel", "pointerleave"]) view.svg.addEventListener(name, end);
  view.svg.addEventListener("click", (event) => { if (moved) event.preventDefault(); });
  view.svg.addEventListener("dragstart", (event) => event.preventDefault());
}

for (const holder of document.querySelectorAll("[data-isometric]")) {
  const view = new View(holder);
  buttons(holder, view);
  keys(holder, view);
  pointer(holder, view);
}
