// A form that was refused takes the reader to what is wrong; a form that was sent is not sent twice by an impatient thumb.
document.getElementById("faults")?.focus();

for (const form of document.querySelectorAll("form[data-once]")) {
  form.addEventListener("submit", () => {
    // What this device takes for the time; the server keeps it beside its own.
    for (const claim of form.querySelectorAll("input[data-now]")) claim.value = new Date().toISOString();
    for (const button of form.querySelectorAll("button[type=submit]")) {
      button.setAttribute("aria-disabled", "true");
      // Only after the browser has taken the form: a disabled button would not be sent.
      setTimeout(() => { button.disabled = true; }, 0);
    }
  });
}
// A page that comes back from the browser's memory may be sent again: its identity makes that harmless.
addEventListener("pageshow", () => {
  for (const button of document.querySelectorAll("form[data-once] button[disabled]")) button.disabled = false;
});
