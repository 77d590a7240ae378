// Words at a tap: a button appends its word to the text area it belongs to, on a line of its own.
for (const group of document.querySelectorAll("[data-words-for]")) {
  const area = document.getElementById(group.dataset.wordsFor);
  const field = area.closest(".field");
  field.append(group);
  group.hidden = false;
  group.addEventListener("click", (event) => {
    const word = event.target.dataset?.word;
    if (!word) return;
    const before = area.value.trimEnd();
    area.value = `${before ? `${before}\n` : ""}${word} `;
    area.focus();
    area.dispatchEvent(new Event("input", { bubbles: true }));
  });
}
