// Counts, laid tiles and broken offcuts are said here; a piece is found by its name.
"use strict";

const job = document.body.dataset.job;
const line = document.getElementById("line");

async function send() {
  const told = await Queue.send(job, "fence");
  if (told.wrong) {
    line.className = "line off";
    line.textContent = `${told.wrong}: ${waits(job)} here and will be sent.`;
    setTimeout(send, 5000);
    return;
  }
  const refused = told.none ? [told.none] : Object.values(told.refused);
  if (refused.length) {
    line.className = "line off";
    line.textContent = `Not taken: ${refused.join("; ")}`;
  } else {
    location.reload();
  }
}

for (const form of document.querySelectorAll("form[data-says]")) {
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    const { says, tile, piece, offcut } = form.dataset;
    const number = (name) => Number(form.elements[name].value);
    const said = { kind: says };
    if (says === "counted") Object.assign(said, { tile, tiles: number("tiles") });
    if (says === "laid") Object.assign(said, { piece, times: number("times") });
    if (says === "broken") Object.assign(said, { offcut });
    Queue.add(job, said);
    send();
  });
}

const find = document.getElementById("find");
if (find) {
  find.addEventListener("input", () => {
    const wanted = find.value.trim().toLowerCase();
    for (const row of document.querySelectorAll("#pieces tbody tr")) {
      row.hidden = !row.cells[0].textContent.toLowerCase().startsWith(wanted);
    }
  });
}

if (line && Queue.all(job).length) send();
