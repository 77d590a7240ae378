// Minus and plus beside a measure, for a gloved thumb: data-step is the step ("5", "0.5", "1/32"), data-last where to begin.

function read(text) {
  const found = text.trim().match(/^(?:(\d+)[ -])?(\d+)\/(\d+)/);
  if (found) return Number(found[1] ?? 0) + Number(found[2]) / Number(found[3]);
  const number = Number.parseFloat(text.replace(",", "."));
  return Number.isFinite(number) ? number : null;
}

function write(value, step) {
  if (!step.includes("/")) return String(Math.round(value * 1000) / 1000);
  let parts = Math.round(value * 64), divisor = 64;
  const whole = Math.floor(parts / 64);
  parts -= whole * 64;
  if (!parts) return String(whole);
  while (parts % 2 === 0) { parts /= 2; divisor /= 2; }
  return `${whole ? `${whole}-` : ""}${parts}/${divisor}`;
}

function unitOf(text) {
  return text.trim().match(/[a-zA-Z°"'].*$/)?.[0] ?? "";
}

function button(words, label, press) {
  const made = document.createElement("button");
  made.type = "button";
  made.textContent = words;
  made.setAttribute("aria-label", label);
  made.addEventListener("click", press);
  return made;
}

for (const input of document.querySelectorAll("input[data-step]")) {
  const step = input.dataset.step, size = read(step);
  const name = input.labels[0]?.firstChild.textContent.trim() ?? "";
  const move = (way) => {
    const typed = input.value || "";
    const from = read(typed) ?? (input.dataset.last ? read(input.dataset.last) - way * size : 0);
    const unit = unitOf(typed);
    input.value = write(Math.max(0, from + way * size), step) + (unit ? ` ${unit}` : "");
    input.dispatchEvent(new Event("input", { bubbles: true }));
  };
  const box = document.createElement("div");
  box.className = "stepper";
  input.replaceWith(box);
  box.append(button("−", `Less: ${name}`, () => move(-1)), input, button("+", `More: ${name}`, () => move(1)));
}
