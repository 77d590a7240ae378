// The groups in the row of pages: one that is open closes with Escape, or when one looks elsewhere.
const groups = [...document.querySelectorAll(".places .group")];

function closeBut(kept) {
  for (const group of groups) if (group !== kept) group.open = false;
}

document.addEventListener("click", (event) => closeBut(event.target.closest(".places .group")));
document.addEventListener("focusin", (event) => closeBut(event.target.closest(".places .group")));
document.addEventListener("keydown", (event) => {
  const open = groups.find((group) => group.open);
  if (event.key !== "Escape" || !open) return;
  open.open = false;
  open.querySelector("summary").focus();
});
