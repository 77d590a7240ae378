// Several lines pasted into one row of a route become rows of their own: a field by itself would run them into one line.
const form = document.getElementById("route-form");

form?.addEventListener("paste", (event) => {
  const lines = event.clipboardData.getData("text").split(/\r\n?|\n/).filter((line) => line.trim());
  if (event.target.name !== "rest" || lines.length < 2) return;
  event.preventDefault();
  const rows = [...form.querySelectorAll(".step-row")], place = rows.findIndex((row) => row.contains(event.target));
  const said = rows.map((row) => {
    const [item, rest, note] = ["item", "rest", "note"].map((name) => row.querySelector(`[name=${name}]`).value);
    return `${item} ${rest}${note && `  ; ${note}`}`;
  });
  // An empty row was made for what is pasted.
  said.splice(place + (event.target.value.trim() ? 1 : 0), event.target.value.trim() ? 0 : 1, ...lines);
  const text = Object.assign(document.createElement("input"), { type: "hidden", name: "text", value: said.join("\n") });
  const send = Object.assign(document.createElement("button"), { type: "submit", name: "do", value: "as steps", hidden: true });
  form.append(text, send);
  form.requestSubmit(send);
});
