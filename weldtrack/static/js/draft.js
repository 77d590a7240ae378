// A route that is typed and not applied yet stays in this tab, whether the session ends or somebody follows a link and comes back.
const form = document.querySelector("form[data-draft]"), offer = document.getElementById("draft");
const key = `draft ${document.body.dataset.person} ${location.pathname}`;

function typed() {
  const text = form.elements.namedItem("text");
  if (text) return text.value;
  const [items, rests, notes] = ["item", "rest", "note"].map((name) => [...form.querySelectorAll(`[name=${name}]`)].map((one) => one.value));
  return items.map((item, place) => `${item} ${rests[place]}${notes[place] && `  ; ${notes[place]}`}`).join("\n");
}

const words = (text) => text.split("\n").map((line) => line.trim().split(/\s+/).join(" ")).filter(Boolean).join("\n");
const keep = () => sessionStorage.setItem(key, typed());
const forget = () => { sessionStorage.removeItem(key); offer.hidden = true; };

if (form) {
  const kept = sessionStorage.getItem(key) ?? "", is_applied = document.querySelector("main [role=status]");
  if (form.dataset.draft !== "stands") keep();
  else if (is_applied || words(kept) === words(typed())) forget();
  else if (kept) {
    offer.elements.namedItem("text").value = kept;
    offer.hidden = false;
    offer.querySelector("[type=button]").addEventListener("click", forget);
  }
  form.addEventListener("input", keep);
}
