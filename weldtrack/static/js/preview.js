// What an entry would show, while it is typed: the server judges the form as it stands and writes nothing.
for (const place of document.querySelectorAll("[data-preview]")) {
  const form = place.closest("form");
  let timer = 0, asked = 0;
  const ask = async () => {
    const mine = ++asked;
    const said = new FormData(form);
    said.set("preview", "1");
    try {
      const answer = await fetch(form.action, { method: "POST", body: said });
      // A slower answer to an older question is not shown.
      if (answer.ok && mine === asked) place.innerHTML = await answer.text();
    } catch {
      place.textContent = "No signal: what this would show is told once the site has it.";
    }
  };
  form.addEventListener("input", () => {
    clearTimeout(timer);
    timer = setTimeout(ask, 500);
  });
}
