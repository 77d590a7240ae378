// The answer while somebody types: the same page is asked for, and its answer and its refusals are put in their places.
const PAUSE_MS = 350;
const form = document.querySelector("form[data-calculator]");
const answer = document.getElementById("answer"), said = document.getElementById("said");
let timer = 0, asked = 0;

function address() {
  const given = [...new FormData(form)].filter(([, text]) => text.trim());
  return `${location.pathname}?${new URLSearchParams(given)}`;
}

function show(page) {
  const open = document.getElementById("exact")?.open;
  answer.replaceChildren(...page.getElementById("answer").childNodes);
  if (open) document.getElementById("exact")?.setAttribute("open", "");
  const words = page.getElementById("said");
  // A reader with a screen reader hears the first line only, and only when it changed.
  if (words.textContent !== said.textContent) said.replaceChildren(...words.childNodes);
  for (const place of form.querySelectorAll("[data-error]")) {
    const fault = page.getElementById(place.id)?.textContent ?? "";
    place.textContent = fault;
    const field = document.getElementById(place.dataset.error);
    if (fault) field.setAttribute("aria-invalid", "true");
    else field.removeAttribute("aria-invalid");
  }
}

async function ask() {
  const mine = ++asked, where = address();
  try {
    const response = await fetch(where, { headers: { "X-Typing": "1" } });
    // A slower answer to an older question is not shown.
    if (mine !== asked || !response.ok || response.redirected) return;
    show(new DOMParser().parseFromString(await response.text(), "text/html"));
    history.replaceState(null, "", where);
  } catch {
    said.textContent = "No connection: press the button to ask again.";
  }
}

form.addEventListener("input", (event) => {
  // Other units mean other labels and hints: the page is asked for as a whole.
  if (event.target.name === "units") location.assign(address());
  clearTimeout(timer);
  timer = setTimeout(ask, PAUSE_MS);
});
