// The search box in the head of a page: "/" goes to it, what is typed drops a list, arrows walk the list, Escape closes it.
const form = document.querySelector("form.find");
const box = form.querySelector("input");
const list = document.createElement("div");
list.className = "dropped";
list.hidden = true;
form.append(list);
let waiting = 0, asked = null;

const links = () => [...list.querySelectorAll("a")];

function close() {
  clearTimeout(waiting);
  asked?.abort();
  list.hidden = true;
}

async function ask() {
  const text = box.value.trim();
  asked?.abort();
  if (!text) return close();
  asked = new AbortController();
  const address = `${form.action}?${new URLSearchParams({ q: text })}`;
  try {
    const answer = await fetch(address, { headers: { "X-Found": "list" }, signal: asked.signal, redirect: "error" });
    if (!answer.ok) return close();
    list.innerHTML = await answer.text();
    list.hidden = false;
  } catch {
    // Typed on, or out of reach: Enter still opens the page.
  }
}

function walk(event) {
  const way = { ArrowDown: 1, ArrowUp: -1 }[event.key];
  if (!way || list.hidden) return;
  const stops = [box, ...links()];
  const next = stops.indexOf(document.activeElement) + way;
  event.preventDefault();
  stops[(next + stops.length) % stops.length].focus();
}

box.addEventListener("input", () => {
  clearTimeout(waiting);
  waiting = setTimeout(ask, 150);
});
form.addEventListener("keydown", (event) => {
  if (event.key === "Escape" && !list.hidden) {
    box.focus();
    close();
  } else walk(event);
});
form.addEventListener("focusout", (event) => {
  if (!form.contains(event.relatedTarget)) close();
});
document.addEventListener("keydown", (event) => {
  const isTyping = event.target.closest("input, select, textarea, [contenteditable]");
  if (event.key !== "/" || isTyping || event.ctrlKey || event.metaKey || event.altKey) return;
  event.preventDefault();
  box.focus();
  box.select();
});
